/** How the controller is to be tied to the drill: named on the command line, else what its kind always has. */
import { SetUpError } from '../links/errors.ts';
import { RATE_LEAST_HZ, RATE_MOST_HZ } from '../plant/slow.ts';
import type { Coupling } from '../runner/coupled.ts';
import type { ControllerChoice } from './controller-choice.ts';

export const DEFAULT_RATE_HZ = 500;

export type CouplingChoice =
  | { readonly coupling: Exclude<Coupling, 'rate-split'> }
  | { readonly coupling: 'rate-split'; readonly rate_Hz: number };

const BUILT_IN = 'builtin';

/**
 * Reads --coupling and --rate for a controller. Throws SetUpError that says what is allowed.
 *
 * @param controller the one that drives; a built-in one runs in process, any other is tied by its link
 */
export function couplingChoice(
  coupling: string | undefined,
  rate: string | undefined,
  controller: ControllerChoice,
): CouplingChoice {
  const inside = controller.kind === BUILT_IN;
  const allowed = inside ? ['in-process'] : ['lock-step', 'rate-split'];
  const wanted = coupling ?? allowed[0];
  if (!allowed.includes(wanted)) {
    const who = inside
      ? `built-in controllers run in process`
      : `a controller behind ${controller.kind}: is tied by its link`;
    throw new SetUpError(`--coupling ${wanted}: ${who}; allowed is ${allowed.join(' or ')}${inside ? elsewhere : ''}`);
  }
  if (wanted === 'rate-split') return { coupling: wanted, rate_Hz: rateOf(rate) };
  if (rate !== undefined) {
    throw new SetUpError(`--rate ${rate}: the coupling is ${wanted}; a rate goes with --coupling rate-split alone`);
  }
  return { coupling: wanted as Exclude<Coupling, 'rate-split'> };
}

const elsewhere = '; a board behind a link may have lock-step or rate-split';

function rateOf(text = String(DEFAULT_RATE_HZ)): number {
  const rate_Hz = text.trim() === '' ? Number.NaN : Number(text);
  if (rate_Hz >= RATE_LEAST_HZ && rate_Hz <= RATE_MOST_HZ) return rate_Hz;
  throw new SetUpError(
    `--rate ${text}: allowed is a number from ${RATE_LEAST_HZ} to ${RATE_MOST_HZ} (Scenes a second)`,
  );
}
