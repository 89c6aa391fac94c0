/**
 * The fault-free twin of a run: the same scenario without its faults, same seed, same kind of controller. Checks compare
 * with its signals tick by tick, so it either runs beside the run, one tick for one tick, or was played before it and left
 * the signals that are compared.
 */
import { needsTwin } from '../scenario/check.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { type Handler, Timeline } from '../scenario/timeline.ts';
import { SIGNAL_INDEX, SIGNALS } from '../signals.ts';
import { type Coupled, RESIDUAL_MOST } from './coupled.ts';
import { handled, setUp } from './handle.ts';

/** What playing a run needs of its twin. */
export interface Twin {
  /** Signals of the twin after the tick that was played last, by SIGNAL_INDEX. */ readonly sample: Float64Array;
  /** Moves on by one tick; tick counts up from 0. */ advance(tick: number): void | Promise<void>;
  /** Why nothing can be compared with it, '' while it can. */ readonly spoiled: string;
  /** State after its last tick. */ hash(): string;
}

/** What an outcome tells of the twin. */
export interface TwinOutcome {
  readonly stateHash: string;
  /** Why nothing was compared with it, '' when it could be. */ readonly why: string;
}

/** The scenario of the twin: without faults, and nothing to judge. */
export function twinScenario(scenario: Scenario): Scenario {
  return Object.freeze({ ...scenario, faults: Object.freeze([]), checks: Object.freeze([]) });
}

/** Whether any check of a scenario compares with the twin. */
export const comparesWithTwin = ({ checks }: Scenario): boolean => checks.some(needsTwin);

/** A twin that runs beside the run, on a bench of its own. */
export class RunningTwin implements Twin {
  readonly sample: Float64Array;
  private readonly bench: Coupled;
  private readonly timeline: Timeline;
  private readonly hands: Handler;

  /** @param bench fresh, with a controller of its own */
  constructor(scenario: Scenario, bench: Coupled) {
    this.bench = bench;
    this.sample = bench.sample;
    this.timeline = new Timeline(scenario.timeline, bench.plant.period_s);
    this.hands = handled(bench.plant.hands);
    setUp(bench.plant, scenario.chuck);
  }

  advance(tick: number): void | Promise<void> {
    if (this.bench.controllerLost !== '' || this.bench.plant.fault !== '') return;
    this.timeline.act(tick, this.hands);
    return this.bench.tickOnce();
  }

  get spoiled(): string {
    return spoiledBy(this.bench);
  }

  hash(): string {
    return this.bench.plant.hash();
  }
}

/** Why nothing can be compared with a twin that ran on this bench, '' when it can. */
export function spoiledBy({ controllerLost, plant, counters, unaudited }: Coupled): string {
  const late = counters.late > 0 ? `${counters.late} of its frames were late` : '';
  const residual = Math.abs(plant.energy().share);
  const unbalanced = unaudited === undefined && !(residual <= RESIDUAL_MOST) ? 'its energy does not balance' : '';
  const why = controllerLost || plant.fault || late || unbalanced;
  return why === '' ? '' : `the twin is not valid: ${why}`;
}

/** Most numbers that a twin played before the run may leave: 400 MB. */
const NUMBERS_MOST = 50_000_000;

/** A twin that was played before the run: it left the signals that the checks compare, every tick of them. */
export class PlayedTwin implements Twin {
  readonly sample = new Float64Array(SIGNALS.length).fill(Number.NaN);
  spoiled = '';
  private readonly columns: readonly number[];
  private readonly ticks: number;
  private readonly rows: Float64Array;
  private kept = 0;
  private stateHash = '';

  /** Throws RangeError when the run is too long to be kept. */
  constructor(scenario: Scenario, tick_s: number) {
    const compared = scenario.checks.filter(needsTwin).map(({ signal }) => SIGNAL_INDEX[signal]);
    const angle = scenario.checks.some((spec) => needsTwin(spec) && spec.take === 'order');
    const wanted = compared.length === 0 ? [] : [SIGNAL_INDEX.time, ...compared];
    this.columns = [...new Set(angle ? [...wanted, SIGNAL_INDEX.rotorAngle] : wanted)];
    this.ticks = Math.round(scenario.duration_s / tick_s);
    const numbers = this.ticks * this.columns.length;
    if (numbers > NUMBERS_MOST) {
      throw new RangeError(
        `the twin would have to keep ${numbers} numbers; allowed are ${NUMBERS_MOST}: a shorter run`,
      );
    }
    this.rows = new Float64Array(numbers);
  }

  /** Takes one tick of the twin while it is played. */
  keep(sample: Float64Array): void {
    const { columns, rows, kept } = this;
    if (kept >= this.ticks) return;
    for (let k = 0; k < columns.length; k++) rows[kept * columns.length + k] = sample[columns[k]];
    this.kept = kept + 1;
  }

  /** After its last tick. @param why nothing can be compared with it, '' when it can */
  end(stateHash: string, why: string): void {
    this.stateHash = stateHash;
    this.spoiled = why;
  }

  advance(tick: number): void {
    const { columns, rows, sample } = this;
    for (let k = 0; k < columns.length; k++) {
      sample[columns[k]] = tick < this.kept ? rows[tick * columns.length + k] : Number.NaN;
    }
  }

  hash(): string {
    return this.stateHash;
  }
}
