/** What every kind of check declares: the numbers that it can take, the keys that go with them, and how it follows a run. */
import type { CheckSpec, Take } from './spec.ts';
import type { NumberUnit } from './unit.ts';

/** Keys of a check that only some kinds take; the others are common to all. */
export type OwnKey = 'signal' | 'above' | 'below' | 'state' | 'trip' | 'gates' | 'through' | 'play' | 'of' | 'order';

export interface CheckKind {
  /** Each number that it takes, and what it means. */ readonly takes: Readonly<Partial<Record<Take, string>>>;
  /** Keys that go with it beside the common ones. */ readonly keys: readonly OwnKey[];
  /** Of these keys one at least has to be there, for each list. */ readonly needs: readonly (readonly OwnKey[])[];
  /** A limit that holds when the file names none [SI]. */ readonly usual?: { readonly atLeast: number };
  /** False when the number of a twin means nothing. */ readonly againstTwin: boolean;
  /** True when it cannot do without after fault. */ readonly fromFault?: true;
  /** Longest window [s]. */ readonly longest_s?: number;
  /** Unit of its number. */ unit(spec: CheckSpec): NumberUnit;
  /** Starts following a run. */ follow(spec: CheckSpec, run: RunOf): Follower;
}

/** What a follower knows of the run. */
export interface RunOf {
  /** Time between two samples. */ readonly tick_s: number;
  /** Longest window that the run can hold [s]. */ readonly longest_s: number;
}

/** Places in what a follower sees: value of the signal; virtual time; time since the window began, 0 or more [s]. */
export const VALUE = 0;
export const NOW = 1;
export const SINCE = 2;

/** Follows one run through the window of a check. Per sample it allocates nothing. */
export interface Follower {
  /**
   * Takes a sample that lies in the window and whose signal has a reading.
   *
   * @param at what it is about, at VALUE, NOW and SINCE: a number that is handed over by itself would be boxed
   * @param twin sample of the twin, if any
   */
  see(at: Float64Array, sample: Float64Array, twin: Float64Array | undefined): void;
  /** A sample before the window. */ before?(at: Float64Array): void;
  /** What was found; asked for after the last sample, once. */ finding(): Finding;
}

export interface Finding {
  /** SI; NaN when there is no number. */ readonly value: number;
  /** Virtual time of the value; NaN when it has none. */ readonly at_s: number;
  /** The value is a lower bound: it had not come about when the window ended. */ readonly open?: true;
  /** Why there is nothing to judge, '' otherwise. */ readonly why?: string;
  /** What a reader has to know to understand the number. */ readonly note?: string;
}
