/** Plays a scenario on a bench of any coupling: set-up, timeline, checks, outcome. */
import { type FaultEvent, Injector } from '../faults/injector.ts';
import { Check, type CheckResult, judge } from '../scenario/check.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { Timeline } from '../scenario/timeline.ts';
import { requireDrill } from './bench-options.ts';
import type { Counters } from './core.ts';
import { type Coupled, type Coupling, RESIDUAL_MOST } from './coupled.ts';
import { handled, setUp } from './handle.ts';
import { LastRows, RECORD_RATE_HZ } from './record.ts';
import { type Situation, Situations } from './situation.ts';
import type { Twin, TwinOutcome } from './twin.ts';

/** Time that is still computed after the controller is lost, so that the record shows the legs open [s]. */
export const COAST_S = 0.01;
/** Rows that an outcome keeps, one a millisecond. */
const LAST_ROWS = 50;
/** Ticks between two calls of `progress`. */
const PROGRESS_TICKS = 200;

export type RunVerdict = 'passed' | 'failed' | 'invalid' | 'controller lost';

/** What became of a fault, and what the drill was doing when it began. */
export interface FaultMet extends FaultEvent {
  /** Of a beginning. */ readonly met?: Situation;
}

export interface Outcome {
  readonly verdict: RunVerdict;
  /** Why the run is invalid or the controller was lost, '' otherwise. */ readonly why: string;
  /** Checks of the scenario, then those that every run has. */ readonly checks: readonly CheckResult[];
  readonly coupling: Coupling;
  /** Exchanges a second, where the coupling sets them [Hz]; undefined where the PWM does. */
  readonly rate_Hz?: number | undefined;
  readonly virtual_s: number;
  readonly lostTime_s: number;
  /** Share of the energy that passed; NaN where the coupling allows no balance. */ readonly energyResidual: number;
  readonly passed_J: number;
  readonly accounts_J: Readonly<Record<string, number>>;
  readonly stateHash: string;
  readonly counters: Readonly<Counters>;
  /** When each injected fault began and ended, in the order of time. */ readonly faults: readonly FaultMet[];
  /** The fault-free twin, where the run had one. */ readonly twin?: TwinOutcome | undefined;
  /** The last rows of all signals, one a millisecond, SI. */ readonly lastRows: readonly Float64Array[];
}

export interface PlayHooks {
  /** Fault-free twin that checks compare with; it is moved on tick by tick. */ readonly twin?: Twin | undefined;
  /** Called before the first tick with the checks of the scenario, which may be asked how they stand while it runs. */
  readonly checks?: (checks: readonly Check[]) => void;
  /** Called after each tick. */ readonly tick?: (sample: Float64Array) => void;
  /** Called once a millisecond of virtual time with a row to record. */ readonly row?: (sample: Float64Array) => void;
  /** Called now and then with the share done, 0 to 1; a promise is waited for. */
  readonly progress?: (share: number) => void | Promise<void>;
}

/**
 * Plays the scenario to its end, or to the loss of the controller and a short coast. Rejects with RangeError, before the
 * first tick, when it asks for what this coupling does not have.
 */
export async function play(scenario: Scenario, bench: Coupled, hooks: PlayHooks = {}): Promise<Outcome> {
  const { plant } = bench;
  const tick_s = plant.period_s;
  requireDrill(scenario, plant);
  const injector = injectorFor(scenario, bench);
  const began = (order: number) => injector?.began_s(order) ?? Number.NaN;
  const checks = scenario.checks.map((spec) => new Check(spec, tick_s, began));
  const { twin } = hooks;
  const compared = twin?.sample;
  const timeline = new Timeline(scenario.timeline, tick_s);
  const hands = handled(plant.hands);
  const lastRows = new LastRows(LAST_ROWS);
  const rowTicks = Math.max(1, Math.round(1 / (RECORD_RATE_HZ * tick_s)));
  const situations = injector && new Situations();
  const met: Situation[] = [];
  let end = Math.round(scenario.duration_s / tick_s);
  let lost = false;

  hooks.checks?.(checks);
  setUp(plant, scenario.chuck);
  for (let tick = 0; tick < end && plant.fault === ''; tick++) {
    if (!lost) timeline.act(tick, hands);
    if (injector && situations) {
      injector.act(tick * tick_s, tick_s, bench.sample, plant.damage);
      while (met.length < injector.events.length) met.push(situations.now);
    }
    const answer = bench.tickOnce();
    if (answer) await answer;
    situations?.see(bench.sample, plant.hands.get('direction'));
    const moved = twin?.advance(tick);
    if (moved) await moved;
    for (const check of checks) check.see(bench.sample, compared);
    hooks.tick?.(bench.sample);
    if ((tick + 1) % rowTicks === 0) {
      lastRows.push(bench.sample);
      hooks.row?.(bench.sample);
    }
    if (!lost && bench.controllerLost !== '') {
      lost = true;
      end = tick + 1 + Math.round(COAST_S / tick_s);
    }
    if ((tick + 1) % PROGRESS_TICKS === 0) await hooks.progress?.(Math.min(1, (tick + 1) / end));
  }
  return outcome(
    bench,
    checks,
    lastRows,
    injector ? injector.events.map((event, k) => withMet(event, met[k])) : [],
    twin,
  );
}

const withMet = (event: FaultEvent, met: Situation): FaultMet => (event.what === 'begins' ? { ...event, met } : event);

/** Throws RangeError when the drill of this coupling cannot be broken. */
function injectorFor({ faults = [], seed }: Scenario, { coupling, unbreakable }: Coupled): Injector | undefined {
  if (faults.length === 0) return undefined;
  if (unbreakable !== undefined) throw new RangeError(`no fault can be injected in ${coupling}: ${unbreakable}`);
  return new Injector(faults, seed);
}

function outcome(
  bench: Coupled,
  checks: readonly Check[],
  lastRows: LastRows,
  faults: readonly FaultMet[],
  twin: Twin | undefined,
): Outcome {
  const { plant, counters } = bench;
  const energy = plant.energy();
  const lostTime_s = counters.lost * plant.period_s;
  const unjudged = bench.controllerLost !== '' ? 'controller lost' : plant.fault !== '' ? 'the run is not valid' : '';
  const own = checks.map((check) => check.result(unjudged, bench.absent?.[check.signal], twin?.spoiled));
  const strict = bench.strictCounts?.() ?? [];
  const always = [
    energyCheck(bench, Math.abs(energy.share)),
    bound('no virtual time is lost', 'lostTime', lostTime_s, 0, 's', plant.time_s),
    bound('no frame is late', 'late', counters.late, 0, '', plant.time_s),
    ...strict.map(({ name, signal, count }) => bound(name, signal, count, 0, '', plant.time_s)),
  ];
  const broken = always.filter(({ verdict }) => verdict === 'fail').map(({ name }) => name);
  const invalid = plant.fault !== '' || broken.length > 0;
  const verdict: RunVerdict =
    bench.controllerLost !== '' ? 'controller lost' : invalid ? 'invalid' : own.every(passes) ? 'passed' : 'failed';
  return {
    verdict,
    why: bench.controllerLost || plant.fault || (invalid ? `does not hold: ${broken.join(', ')}` : ''),
    checks: [...own, ...always],
    coupling: bench.coupling,
    rate_Hz: bench.rate_Hz,
    virtual_s: plant.time_s,
    lostTime_s,
    energyResidual: energy.share,
    passed_J: energy.passed_J,
    accounts_J: energy.accounts,
    stateHash: plant.hash(),
    counters: { ...counters },
    faults,
    twin: twin && { stateHash: twin.hash(), why: twin.spoiled },
    lastRows: lastRows.list(),
  };
}

const passes = ({ verdict }: CheckResult) => verdict === 'pass';

/** The audit; in a coupling that allows none it says so, and does not count. */
function energyCheck({ plant, unaudited }: Coupled, share: number): CheckResult {
  const check = bound('energy balances', 'energyResidual', share, RESIDUAL_MOST, '', plant.time_s);
  if (unaudited === undefined) return check;
  return { ...check, verdict: 'not evaluated', value: null, margin: null, at_s: null, why: unaudited };
}

/** A check that every run has, on a number that the bench keeps itself. */
function bound(name: string, signal: string, value: number, atMost: number, unit: string, at_s: number): CheckResult {
  const { limit, bound, margin } = judge(value, undefined, atMost);
  // A value that is not a number has no room: comparing it with the limit would let it pass for neither.
  const verdict = margin >= 0 ? 'pass' : 'fail';
  return { name, verdict, value, limit, bound, unit, margin, at_s, signal, take: 'last', why: '' };
}
