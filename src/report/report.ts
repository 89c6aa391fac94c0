/** All that a report is made from. Everything was collected before: making the page reads no file and no clock. */
import type { CampaignTold } from './campaign.ts';
import type { RunTold } from './model.ts';
import type { Baseline } from './trend.ts';
import type { LimitLine, RunWatch } from './watch.ts';

/** What was seen of a run beside its result. */
export interface Watched {
  readonly watch: RunWatch;
  /** Limits by signal. */ readonly limits: ReadonlyMap<string, readonly LimitLine[]>;
}

/** Sheet of a drill: what follows from its parameters, and each with its source. */
export interface Sheet {
  readonly name: string;
  readonly title: string;
  readonly conditions: string;
  readonly sections: readonly {
    readonly title: string;
    readonly figures: readonly { readonly what: string; readonly shown: number; readonly shownUnit: string }[];
  }[];
  readonly groups: readonly {
    readonly title: string;
    readonly name: string;
    readonly rows: readonly {
      readonly key: string;
      readonly value: number | readonly number[];
      readonly unit: string;
      readonly doc: string;
      readonly source: string;
    }[];
  }[];
}

export interface Report {
  /** What the report is about. */ readonly title: string;
  /** When it was made, ISO 8601. */ readonly at: string;
  /** The command that made it. */ readonly command: string;
  /** Programs with their versions, and hashes of what went in. */
  readonly versions: Readonly<Record<string, string>>;
  /** What is judged: runs, and cases of searches. */ readonly runs: readonly RunTold[];
  /** Every run that took place; of a search more than what is judged. */ readonly played: readonly RunTold[];
  readonly campaigns: readonly CampaignTold[];
  readonly watched: ReadonlyMap<RunTold, Watched>;
  readonly sheets: readonly Sheet[];
  readonly baseline?: Baseline | undefined;
}
