/** The facade of the worker that plays files: library, reading, runs, reports. Every value survives a structured clone. */
import type { Plan } from '../src/campaign/load.ts';
import type { CaseOutcome, PointVerdict } from '../src/campaign/results.ts';
import type { Letter } from '../src/report/verdict.ts';
import type { LimitLine } from '../src/report/watch.ts';
import type { FaultMet, RunVerdict } from '../src/runner/play.ts';
import type { CheckResult } from '../src/scenario/check.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import type { Problem } from '../src/scenario/source.ts';

export type {
  CaseOutcome,
  CheckResult,
  FaultMet,
  Letter,
  LimitLine,
  Plan,
  PointVerdict,
  Problem,
  RunVerdict,
  Scenario,
};

/** One file of the library. */
export interface LibraryRow {
  /** Below the folder of scenarios, such as 'bridge/hot-stall.yaml'. */ readonly place: string;
  readonly kind: 'scenario' | 'campaign';
  readonly title: string;
  /** What it shows, in a sentence. */ readonly shows: string;
}

/** A file as it was opened. */
export interface OpenedFile {
  readonly name: string;
  readonly text: string;
}

export type ReadFile =
  | { readonly ok: true; readonly kind: 'scenario'; readonly scenario: Scenario }
  | { readonly ok: true; readonly kind: 'campaign'; readonly plan: Plan }
  | { readonly ok: false; readonly problems: readonly Problem[] };

/** Who drives, and what the drill has that its file does not say. What is left out is as the file says it. */
export interface Otherwise {
  readonly controller?: string;
  /** Of a board's WebSocket; it drives in lock-step. */ readonly address?: string;
  /** Numbers of the drill by their keys, such as 'winding.r_ohm', SI. */
  readonly changes?: readonly { readonly key: string; readonly value: number }[];
}

/** How a run stands while it is played. */
export interface RunStands {
  readonly share: number;
  /** Verdicts so far: what is not over yet may change. */ readonly checks: readonly CheckResult[];
}

/** One signal of a run, in its display unit: least, greatest and mean in each of up to 400 columns. */
export interface Plot {
  readonly id: string;
  readonly title: string;
  readonly unit: string;
  /** Four numbers a column: moment [s], least, greatest, mean; NaN where there was no reading. */
  readonly columns: Float32Array;
  readonly limits: readonly LimitLine[];
}

export interface RunEnded {
  readonly title: string;
  /** What drove it, in a word. */ readonly controller: string;
  readonly coupling: string;
  readonly verdict: RunVerdict;
  /** Why it is not a plain pass or fail, '' otherwise. */ readonly why: string;
  readonly checks: readonly CheckResult[];
  readonly virtual_s: number;
  readonly wall_s: number;
  readonly lostTime_s: number;
  readonly stateHash: string;
  readonly faults: readonly FaultMet[];
  readonly plots: readonly Plot[];
}

export type ReportKind = 'html' | 'junit';

export interface RunsApi {
  library(): readonly LibraryRow[];
  /** Text of a file of the library. Throws RangeError when it has none of that name. */
  text(place: string): string;
  /**
   * Reads a scenario or a campaign. Never throws: what is wrong is told with its line.
   *
   * @param beside further files that were opened with it; what is included is looked for there, then in the library
   */
  read(file: OpenedFile, beside?: readonly OpenedFile[]): ReadFile;
  /** Plays a scenario as fast as it goes. Rejects with the reason when it cannot begin. Ending the worker drops it. */
  play(scenario: Scenario, file: string, otherwise: Otherwise, on: (stands: RunStands) => void): Promise<RunEnded>;
  /** The run that was played last, as a file for people or for build servers. Throws Error when there is none. */
  report(kind: ReportKind): string;
  /**
   * Runs a campaign, or what is left of the one that ran here last if it is the same, on workers of its own. Resolves with true
   * when all of it was run, with false when it was stopped. Rejects with the reason on a defect.
   *
   * @param part which part of it, such as '2/8', '' for the whole; @param on told a few times a second
   */
  campaign(plan: Plan, part: string, on: (stands: CampaignStands) => void): Promise<boolean>;
  /** Drops the runs that are out; those that ended are kept. */
  stopCampaign(): void;
  /** Results so far, by the fault and what it met or by two values that vary; the first two there are when none are named. */
  cells(row?: string, column?: string): CampaignCells;
  /** The scenario of a run by its name. */
  pointScenario(run: string): Scenario;
  /** The result file, to the bytes that the command line leaves. Rejects with the reason when there is none. */
  campaignFile(): Promise<string>;
  campaignReport(kind: ReportKind): string;
}

export interface CampaignStands {
  /** Points of a drawn campaign, cases of a search. */ readonly points: number;
  readonly done: number;
  readonly runs: number;
  /** Wall time that is left by what the runs so far took [s], NaN while nobody knows. */ readonly left_s: number;
  readonly workers: number;
}

/** One run of a campaign in a table. */
export interface PointRow {
  /** '17', or '3.12' for run 12 of case 3. */ readonly name: string;
  readonly values: Readonly<Record<string, string | number | boolean>>;
  readonly verdict: PointVerdict;
  readonly why: string;
  /** The check with the least room for its limit. */ readonly worst: CheckResult | undefined;
  /** When it failed first, else its end [s]. */ readonly failedAt_s: number;
}

export interface Cell {
  readonly row: string;
  readonly column: string;
  /** The gravest of its runs. */ readonly letter: Letter;
  readonly runs: readonly PointRow[];
  readonly worst: CheckResult | undefined;
}

export interface CampaignCells {
  /** What can be told apart: 'fault', 'situation', places of values. */ readonly axes: readonly string[];
  readonly row: string;
  readonly column: string;
  readonly rows: readonly string[];
  readonly columns: readonly string[];
  readonly cells: readonly Cell[];
  /** What a search has found so far. */ readonly cases: readonly CaseOutcome[];
}
