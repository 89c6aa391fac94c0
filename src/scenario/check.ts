/**
 * A check turns a window of a signal into one number and compares it with its limits. The margin is the room that is
 * left, in the unit of the signal: positive inside, negative outside, so that two builds can be compared.
 */
import { SIGNAL_INDEX, SIGNALS } from '../signals.ts';
import { toDisplay } from '../units/convert.ts';
import type { CheckSpec } from './scenario.ts';

export type Verdict = 'pass' | 'fail' | 'not evaluated';

/** Outcome of a check in the unit that people read. Numbers are null when there is nothing to say. */
export interface CheckResult {
  readonly name: string;
  readonly verdict: Verdict;
  readonly value: number | null;
  /** The limit with the least room, and on which side it lies. */ readonly limit: number | null;
  readonly bound: 'at least' | 'at most' | null;
  readonly unit: string;
  readonly margin: number | null;
  /** Virtual time of the value; for a mean the end of its window. */ readonly at_s: number | null;
  readonly signal: string;
  readonly take: string;
  /** Why it was not evaluated, '' otherwise. */ readonly why: string;
}

/** Follows one signal through a run. */
export class Check {
  private readonly spec: CheckSpec;
  private readonly column: number;
  private readonly slack_s: number;
  private value = Number.NaN;
  private at_s = Number.NaN;
  private sum = 0;
  private count = 0;
  private ended = false;

  /** @param tick_s PWM period; a window end counts as reached within half of it */
  constructor(spec: CheckSpec, tick_s: number) {
    this.spec = spec;
    this.column = SIGNAL_INDEX[spec.signal];
    this.slack_s = tick_s / 2;
  }

  get signal(): CheckSpec['signal'] {
    return this.spec.signal;
  }

  /** Takes the sample of one tick. A signal without a reading (NaN) is passed over. */
  see(sample: Float64Array): void {
    const now_s = sample[SIGNAL_INDEX.time];
    const { from_s, to_s, take } = this.spec;
    if (now_s < from_s - this.slack_s || now_s > to_s + this.slack_s) return;
    if (now_s >= to_s - this.slack_s) this.ended = true;
    const seen = sample[this.column];
    if (Number.isNaN(seen)) return;
    const first = this.count++ === 0;
    this.sum += seen;
    if (take === 'mean') this.keep(this.sum / this.count, now_s);
    else if (first || take === 'last') this.keep(seen, now_s);
    else if (take === 'largest' && seen > this.value) this.keep(seen, now_s);
    else if (take === 'smallest' && seen < this.value) this.keep(seen, now_s);
    else if (take === 'peak' && Math.abs(seen) > Math.abs(this.value)) this.keep(seen, now_s);
  }

  /**
   * The outcome.
   *
   * @param lost why the run cannot be judged, '' when it can; a value seen until then is still told
   * @param absent why the signal has no reading in this run, where that is known
   */
  result(lost: string, absent = 'the signal had no reading'): CheckResult {
    const { spec } = this;
    const unit = SIGNALS[this.column].show;
    const si = spec.take === 'peak' ? Math.abs(this.value) : this.value;
    const seen = this.count > 0;
    const why = lost !== '' ? lost : !this.ended ? 'the run ended before the window' : !seen ? absent : '';
    const judged = why === '' ? judge(si, spec.atLeast, spec.atMost) : undefined;
    const only = spec.atMost === undefined ? 'at least' : spec.atLeast === undefined ? 'at most' : null;
    const limit = judged?.limit ?? (only === 'at least' ? spec.atLeast : only === 'at most' ? spec.atMost : undefined);
    const shown = (value: number | undefined) => (value === undefined ? null : toDisplay(value, unit));
    return {
      name: spec.name,
      verdict: judged === undefined ? 'not evaluated' : judged.margin >= 0 ? 'pass' : 'fail',
      value: seen ? toDisplay(si, unit) : null,
      limit: shown(limit),
      bound: judged?.bound ?? only,
      unit,
      margin: shown(judged?.margin),
      at_s: seen ? this.at_s : null,
      signal: spec.signal,
      take: spec.take,
      why,
    };
  }

  private keep(value: number, now_s: number): void {
    this.value = value;
    this.at_s = now_s;
  }
}

export interface Judgment {
  readonly limit: number;
  readonly bound: 'at least' | 'at most';
  readonly margin: number;
}

/** The limit with the least room and that room, in SI. At least one limit must be given. */
export function judge(value: number, atLeast: number | undefined, atMost: number | undefined): Judgment {
  const below = atMost === undefined ? Number.POSITIVE_INFINITY : atMost - value;
  const above = atLeast === undefined ? Number.POSITIVE_INFINITY : value - atLeast;
  if (above <= below) return { limit: atLeast as number, bound: 'at least', margin: above };
  return { limit: atMost as number, bound: 'at most', margin: below };
}
