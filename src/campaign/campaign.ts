/** A campaign as the rest takes it: checked and frozen. The text it came from is read by load.ts. */
import type { Method, Value } from './results.ts';

/** A number and the unit it is written in, '' for a plain number. */
export interface Written {
  readonly number: number;
  readonly unit: string;
}

/** How a value is spread. Numbers are in `unit`. */
export type Spread =
  | { readonly kind: 'listed'; readonly values: readonly Value[] }
  | { readonly kind: 'even'; readonly from: number; readonly to: number }
  | {
      readonly kind: 'bell';
      readonly mean: number;
      readonly deviation: number;
      /** Cut off outside; infinite where nothing is cut. */ readonly from: number;
      readonly to: number;
    };

/** One value of the scenario that varies. */
export interface Varied {
  /** Where it goes, such as `faults.1.size`. */ readonly place: string;
  readonly spread: Spread;
  readonly unit: string;
  /** Values of a grid between `from` and `to`, both included. */ readonly steps: number;
  /** Only whole numbers. */ readonly whole: boolean;
}

/** Search for the size at which a check flips. */
export interface BreakSpec {
  readonly place: string;
  readonly unit: string;
  /** Where it is expected to hold. */ readonly from: number;
  /** Where it is expected not to. */ readonly to: number;
  readonly tolerance: number;
  /** Name of the check, 'any' when all count. */ readonly check: string;
  /** Sizes that are tried on each side of the bracket. */ readonly probes: number;
  /** Size that it has to bear, null when none is asked for. */ readonly asked: number | null;
}

/** Search for the values with the least room. */
export interface WorstSpec {
  readonly check: string;
  /** Most runs of each search. */ readonly runs: number;
  /** Independent searches. */ readonly starts: number;
  /** Step, as a share of each range, below which it ends. */ readonly finest: number;
}

export interface Campaign {
  readonly title: string;
  /** Scenario file as the campaign names it. */ readonly scenario: string;
  readonly controller: string | undefined;
  readonly seed: number;
  readonly method: Method;
  /** How the values of `vary` are picked; for a break search the cases. */ readonly draw:
    | 'grid'
    | 'random'
    | 'hypercube';
  readonly points: number;
  readonly vary: readonly Varied[];
  /** Lower triangle that mixes the draws, undefined when they are independent. */
  readonly triangle: readonly (readonly number[])[] | undefined;
  readonly break: BreakSpec | undefined;
  readonly worst: WorstSpec | undefined;
}

export const POINTS_MOST = 100_000;
export const VARIED_MOST = 30;
