/** Ties the chosen controller to a bench: in process, or over a link in lock-step. */
import { LinkLostError, SetUpError } from '../links/errors.ts';
import type { BoardLink, LockStepLink } from '../links/link.ts';
import { openLink } from '../links/node-kinds.ts';
import type { Controller } from '../protocol/controller.ts';
import { COUPLING_LOCK_STEP, REFUSE_MISFIT } from '../protocol/frames.ts';
import { Bench } from '../runner/bench.ts';
import { builtInFor } from '../runner/built-in.ts';
import type { BenchOptions } from '../runner/core.ts';
import type { Coupled, WholeBench } from '../runner/coupled.ts';
import { misfits } from '../runner/fit.ts';
import { LockStepBench } from '../runner/lock-step.ts';
import { type ControllerChoice, choiceText } from './controller-choice.ts';

export interface Tie<B extends Coupled = Coupled> {
  readonly bench: B;
  /** The link, where there is one. */ readonly link?: BoardLink;
  /** Ends the link and the process behind it. */ readonly close: () => Promise<void>;
}

/**
 * Throws SetUpError when the controller cannot be reached, speaks another protocol or does not fit the board, and
 * LinkLostError when it was lost before its Hello.
 */
export async function couple(choice: ControllerChoice, options: BenchOptions): Promise<Tie<WholeBench>> {
  if (choice.kind === 'builtin') {
    const controller = make(choice.what, options);
    refuseMisfit(choice, misfits(controller.hello, options.board, options.drill));
    return { bench: new Bench({ ...options, controller }), close: async () => {} };
  }
  const link = await open(choice);
  try {
    const found = misfits(link.hello, options.board, options.drill);
    if (found.length > 0) link.refuse(REFUSE_MISFIT, found[0]);
    refuseMisfit(choice, found);
    const { pwm_Hz, updates } = options.drill.bridge;
    link.welcome({ coupling: COUPLING_LOCK_STEP, tick_s: 1 / (pwm_Hz * updates) });
    return { bench: new LockStepBench({ ...options, link }), link, close: () => link.close() };
  } catch (error) {
    await link.close();
    throw error;
  }
}

/** A motor that cannot be commissioned is a set-up error: nothing has run. */
function make(name: string, { drill, board }: BenchOptions): Controller {
  try {
    return builtInFor(name, drill, board);
  } catch (error) {
    throw new SetUpError(`${name}: ${(error as Error).message}`);
  }
}

async function open(choice: ControllerChoice): Promise<LockStepLink> {
  try {
    return await openLink(choice);
  } catch (error) {
    throw asSetUp(error);
  }
}

/** A board that introduces itself wrongly is not lost: it is the wrong one. Any other error stays what it is. */
export function asSetUp(error: unknown): unknown {
  const wrong = error instanceof LinkLostError && /^(bad hello|wrong version)$/.test(error.loss.cause);
  return wrong ? new SetUpError(error.message) : error;
}

/** Throws SetUpError with one line for each thing that does not fit. */
export function refuseMisfit(choice: ControllerChoice, found: readonly string[]): void {
  if (found.length === 0) return;
  const lines = found.map((text) => `controller ${choiceText(choice)} does not fit the board: ${text}`);
  throw new SetUpError(lines.join('\n'));
}
