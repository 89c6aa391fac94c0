/**
 * A check turns a window of a run into one number and compares it with its limits. The margin is the room that is left, in
 * the unit of the number: positive inside, negative outside, so that two builds can be compared. What the number is, is up
 * to its kind (checks/); windows, limits and twins are the same for all.
 */
import { SIGNAL_INDEX } from '../signals.ts';
import { kindOf } from './checks/index.ts';
import { type Finding, type Follower, NOW, SINCE, VALUE } from './checks/kind.ts';
import type { CheckSpec } from './checks/spec.ts';
import { differenceUnit, type NumberUnit } from './checks/unit.ts';
import { type Began, Window } from './checks/window.ts';
import { judge } from './judge.ts';

export { type Judgment, judge } from './judge.ts';

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
  /** What a reader has to know to understand the number. */ readonly note?: string;
  /** Requirements that it stands for. */ readonly requirements?: readonly string[];
}

/** Without a reason: there is a number, and it is final. */
const FINAL = '';

/** Follows one signal through a run. */
export class Check {
  private readonly spec: CheckSpec;
  private readonly column: number;
  private readonly window: Window;
  private readonly own: Follower;
  private readonly twin: Follower | undefined;
  private readonly unit: NumberUnit;
  private readonly needsTwin: boolean;
  private readonly at = new Float64Array(3);
  private count = 0;
  private twinCount = 0;

  /** @param tick_s PWM period @param began tells when a fault of the run began */
  constructor(spec: CheckSpec, tick_s: number, began?: Began) {
    const kind = kindOf(spec.take);
    const end_s = spec.to_s === Number.POSITIVE_INFINITY ? (spec.runEnd_s ?? 0) : spec.to_s;
    const run = { tick_s, longest_s: Math.max(0, end_s - spec.from_s) };
    this.spec = spec;
    this.column = SIGNAL_INDEX[spec.signal];
    this.window = new Window(spec, tick_s, began);
    this.own = kind.follow(spec, run);
    this.twin = spec.against === undefined ? undefined : kind.follow(spec, run);
    this.unit = this.twin ? differenceUnit(kind.unit(spec)) : kind.unit(spec);
    this.needsTwin = needsTwin(spec);
  }

  get signal(): CheckSpec['signal'] {
    return this.spec.signal;
  }

  /** Takes the sample of one tick, and that of the twin where there is one. A signal without a reading (NaN) is passed over. */
  see(sample: Float64Array, twin?: Float64Array): void {
    const { window, column, at } = this;
    const now_s = sample[SIGNAL_INDEX.time];
    at[VALUE] = sample[column];
    at[NOW] = now_s;
    if (!window.holds(sample)) {
      if (this.count === 0 && !Number.isNaN(at[VALUE])) this.own.before?.(at);
      return;
    }
    at[SINCE] = Math.max(0, now_s - window.begin_s);
    if (!Number.isNaN(at[VALUE])) {
      this.count++;
      this.own.see(at, sample, twin);
    }
    if (!twin || Number.isNaN(twin[column])) return;
    this.twinCount++;
    at[VALUE] = twin[column];
    this.twin?.see(at, twin, undefined);
  }

  /**
   * The outcome.
   *
   * @param lost why the run cannot be judged, '' when it can; a value seen until then is still told
   * @param absent why the signal has no reading in this run, where that is known
   * @param twinLost why the twin is not fit to be compared with, '' when it is
   */
  result(lost: string, absent = 'the signal had no reading', twinLost = ''): CheckResult {
    const { spec, unit } = this;
    const seen = this.count > 0;
    const found = seen ? this.difference() : { value: Number.NaN, at_s: Number.NaN };
    const missing = this.window.missing || (seen ? '' : absent) || this.twinMissing(twinLost);
    const why = lost || missing || (found.why ?? '') || (found.open ? undecided(found.value, spec) : FINAL);
    const judged = why === FINAL ? judge(found.value, spec.atLeast, spec.atMost) : undefined;
    const only = spec.atMost === undefined ? 'at least' : spec.atLeast === undefined ? 'at most' : null;
    const limit = judged?.limit ?? (only === 'at least' ? spec.atLeast : only === 'at most' ? spec.atMost : undefined);
    const number = Number.isNaN(found.value) ? null : unit.shown(found.value);
    return {
      name: spec.name,
      verdict: judged === undefined ? 'not evaluated' : judged.margin >= 0 ? 'pass' : 'fail',
      value: number,
      limit: limit === undefined ? null : unit.shown(limit),
      bound: judged?.bound ?? only,
      unit: unit.show,
      margin: judged === undefined ? null : unit.room(judged.margin),
      at_s: Number.isNaN(found.at_s) ? null : found.at_s,
      signal: spec.signal,
      take: spec.against === undefined ? spec.take : `${spec.take} less that of the twin`,
      why,
      ...(found.note ? { note: found.note } : {}),
      ...(spec.requirements?.length ? { requirements: spec.requirements } : {}),
    };
  }

  private difference(): Finding {
    const own = this.own.finding();
    if (!this.twin) return own;
    // Without a twin there is no difference to tell.
    if (this.twinCount === 0) return { value: Number.NaN, at_s: Number.NaN };
    const other = this.twin.finding();
    const why = own.why || (other.why && `the twin: ${other.why}`);
    if (why) return { value: Number.NaN, at_s: Number.NaN, why };
    if (own.open || other.open) {
      const who = own.open ? own.note : `the twin: ${other.note}`;
      return { value: Number.NaN, at_s: Number.NaN, why: who ?? '' };
    }
    return { value: own.value - other.value, at_s: own.at_s, ...(own.note ? { note: own.note } : {}) };
  }

  private twinMissing(lost: string): string {
    if (!this.needsTwin) return '';
    return lost || (this.twinCount === 0 ? NO_TWIN : '');
  }
}

const NO_TWIN = 'it was played without its twin';

/** Whether a check compares with the fault-free twin. */
export const needsTwin = ({ take, against }: CheckSpec): boolean => against !== undefined || take === 'deviation';

/** Why a number that would have become larger cannot be judged yet, '' when it can. */
function undecided(value: number, { atLeast, atMost }: CheckSpec): string {
  const decided = atMost !== undefined ? value > atMost : value >= (atLeast ?? 0);
  return decided ? FINAL : 'it had not come about, and the window is shorter than the limit';
}
