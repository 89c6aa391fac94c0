/**
 * What a campaign leaves behind: one line for each run, and a summary of all of them. Reports are made from these two
 * and from nothing else. The keys are a promise: append, never rename.
 */
import type { FaultMet, RunVerdict } from '../runner/play.ts';
import type { CheckResult } from '../scenario/check.ts';

/** A value as the scenario takes it: text with its unit, a plain number, a name. */
export type Value = string | number | boolean;
/** By the place in the scenario that they go to, such as `faults.1.size`. */
export type Values = Readonly<Record<string, Value>>;

/** A point that its scenario refuses is a set-up error: it did not run. */
export type PointVerdict = RunVerdict | 'set-up error';

/** One run. Nothing in it depends on the machine, so that the same campaign leaves the same bytes anywhere. */
export interface PointResult {
  /** Point of a drawn campaign or case of a search, from 1. */ readonly point: number;
  /** Run within the case of a search, from 1; 0 when the point is one run. */ readonly run: number;
  readonly values: Values;
  /** What drove it, as its Hello says; '' when it did not come to that. */ readonly board: string;
  readonly firmware: string;
  readonly verdict: PointVerdict;
  /** Why it is invalid, lost or refused; '' otherwise. */ readonly why: string;
  /** Checks of the scenario, then those that every run has. Empty when it did not run. */
  readonly checks: readonly CheckResult[];
  readonly virtual_s: number;
  readonly lostTime_s: number;
  /** Share of the energy that did not balance, null where there is no balance. */ readonly energyResidual:
    | number
    | null;
  readonly stateHash: string;
  /** With what the drill was doing when each began; results of older builds do not say it. */
  readonly faults: readonly FaultMet[];
}

/** The checked head of a result file: which campaign the lines belong to. */
export interface ResultHead {
  readonly format: 'campaign results';
  readonly version: 1;
  readonly title: string;
  /** SHA-256 over campaign and scenario, in hexadecimal. */ readonly campaign: string;
  /** Controller as the command line names it. */ readonly controller: string;
  readonly points: number;
  /** Hash of the program that ran: results of two builds are not put together. */ readonly build: string;
  /** Which part this file holds, such as '2/8'; '' for the whole. */ readonly shard: string;
}

/** A share of runs with its Clopper-Pearson limits. */
export interface Rate {
  readonly passed: number;
  readonly of: number;
  /** passed / of; null when nothing was judged. */ readonly share: number | null;
  /** Limits on both sides at `confidence`. */ readonly low: number | null;
  readonly high: number | null;
  /** Limit on the lower side alone at `confidence`: what the runs prove at least. */ readonly atLeast: number | null;
  readonly confidence: number;
}

/** One check over all runs. */
export interface CheckSummary {
  readonly name: string;
  readonly unit: string;
  readonly signal: string;
  readonly passed: number;
  readonly failed: number;
  readonly notEvaluated: number;
  /** Of those that were evaluated. */ readonly rate: Rate;
  /** Margins in `unit`, over the runs in which the check was evaluated; null when there was none. */
  readonly margin: {
    readonly smallest: number;
    readonly median: number;
    readonly largest: number;
    /** Where the smallest was seen. */ readonly at: RunName;
  } | null;
}

/** A run by its name: '17', or '3.12' for run 12 of case 3. */
export type RunName = string;

export interface RunRef {
  readonly name: RunName;
  readonly values: Values;
  readonly verdict: PointVerdict;
  readonly why: string;
  /** Names of the checks that did not pass. */ readonly failed: readonly string[];
  /** One line that plays it again. */ readonly again: string;
}

/** What became of one case of a search. */
export type CaseOutcome = BreakOutcome | WorstOutcome;

export interface BreakOutcome {
  readonly kind: 'break';
  readonly case: number;
  /** Values in which the case differs from others. */ readonly values: Values;
  /** Place of the size that is searched. */ readonly place: string;
  /** Check that flips; 'any' when all count. */ readonly check: string;
  readonly unit: string;
  readonly found: 'bracket' | 'holds all over' | 'fails from the start' | 'undecided';
  /** Why it is undecided, '' otherwise. */ readonly why: string;
  /** Last size that holds and first that does not, in `unit`; null where there is none. */ readonly holds:
    | number
    | null;
  readonly fails: number | null;
  readonly tolerance: number;
  readonly runs: number;
  /** The search assumes that the check flips once; false when a size that was tried beyond the bracket holds again. */
  readonly monotone: boolean | null;
  /** Sizes beyond the first flip that hold again, in `unit`. */ readonly contradicting: readonly number[];
  /** The size that it has to bear at least, in `unit`, null when none is asked for. */ readonly asked: number | null;
  readonly verdict: 'pass' | 'fail' | 'not evaluated';
  /** Room between what it bears and what is asked, in `unit`. */ readonly margin: number | null;
  /** One line that plays the first size that does not hold, else the last that does. */ readonly again: string;
}

export interface WorstOutcome {
  readonly kind: 'worst';
  readonly case: number;
  /** Values of the worst run. */ readonly values: Values;
  readonly name: RunName;
  readonly check: string;
  readonly unit: string;
  readonly margin: number | null;
  /** Margin over the size of its limit: what is made small. */ readonly room: number | null;
  readonly runs: number;
  /** Why the search ended. */ readonly ended: string;
  readonly verdict: 'pass' | 'fail' | 'not evaluated';
  /** One line that plays the worst run. */ readonly again: string;
}

export type Method = 'grid' | 'random' | 'hypercube' | 'break' | 'worst';

/** Summary of a campaign, for people and for machines. */
export interface CampaignSummary {
  readonly format: 'campaign summary';
  readonly version: 1;
  readonly title: string;
  readonly file: string;
  readonly scenario: string;
  readonly campaign: string;
  readonly controller: string;
  /** Hash of the program that ran. */ readonly build?: string;
  readonly method: Method;
  readonly shard: string;
  /** Result file with one line for each run. */ readonly results: string;
  /** All points (cases of a search) of the campaign or of its part. */ readonly points: number;
  /** Runs that are in the result file. */ readonly runs: number;
  readonly finished: boolean;
  readonly verdicts: Readonly<Record<PointVerdict, number>>;
  /** Runs that passed, of those that were judged (passed or failed). */ readonly rate: Rate;
  /** True when the points are a random sample, so that the limits speak of what they are drawn from. */
  readonly sampled: boolean;
  readonly checks: readonly CheckSummary[];
  readonly cases: readonly CaseOutcome[];
  /** Runs that did not pass, at most `RUNS_LISTED` of them, with the line that plays each again. */
  readonly failed: readonly RunRef[];
  readonly invalid: readonly RunRef[];
  readonly lost: readonly RunRef[];
  readonly refused: readonly RunRef[];
  /** Longest in wall time, the longest first; empty when no times are known. */
  readonly slowest: readonly { readonly name: RunName; readonly wall_s: number }[];
  readonly virtual_s: number;
  /** Sum over all runs and workers. */ readonly wall_s: number | null;
  readonly cautions: readonly string[];
}

/** Longest list of runs in a summary; the result file holds all. */
export const RUNS_LISTED = 200;

/** The name of a run in text and on the command line. */
export function runName({ point, run }: Pick<PointResult, 'point' | 'run'>): RunName {
  return run === 0 ? String(point) : `${point}.${run}`;
}
