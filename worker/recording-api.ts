/** What page, drill worker and recorder worker say to each other about recordings. Samples go from worker to worker. */
import type { SignalId } from '../src/signals.ts';

/** What is to be recorded. */
export interface RecordAsk {
  /** At least one; `time` has no column, the tick of a row says it. */ readonly signals: readonly SignalId[];
  /** Ticks from row to row, 1 for every tick. */ readonly every: number;
  /** As the recording shall name it: `builtin:NAME`, or what a board calls itself. */ readonly controller: string;
}

/** Part of the facade of the drill worker. The other end of each port is in the hands of the recorder worker. */
export interface RecordingApi {
  /** Sends every period from now on. Rejects with RangeError on what cannot be recorded, or while a recording runs. */
  recordTo(ask: RecordAsk, port: MessagePort): Promise<void>;
  /** Sends what is kept of the last seconds at every tick, and ends. Rejects as `recordTo`, but for a recording that runs. */
  recordPast(ask: RecordAsk, seconds_s: number, port: MessagePort): Promise<void>;
  /** Ends the recording that runs, if one does. */
  endRecording(): void;
}

/** Where recordings go in this browser. */
export interface Place {
  readonly kind: 'disk' | 'memory';
  /** Why not to disk, in words, '' when they do. */ readonly why: string;
  /** What a recording in memory may grow to [bytes]. */ readonly most_B: number;
}

/** How the recording stands that this tab makes or made last. */
export interface RecordingStands {
  readonly name: string;
  readonly running: boolean;
  readonly rows: number;
  readonly size_B: number;
  /** Virtual time from its first row to its last [s]. */ readonly length_s: number;
  /** Rows that were due and are not in it. */ readonly missing: number;
  /** Why it ended other than by hand, '' otherwise. */ readonly why: string;
}

/** A recording that is kept. */
export interface KeptRecording {
  readonly name: string;
  readonly place: Place['kind'];
  /** Whole and ended; without an end; made by this tab or another one just now; not to be read. */
  readonly state: 'whole' | 'cut' | 'here' | 'elsewhere' | 'unreadable';
  readonly size_B: number;
  /** When it was begun, ISO 8601; '' when it cannot be read. */ readonly made: string;
  readonly title: string;
  readonly controller: string;
  readonly coupling: string;
  readonly rows: number;
  readonly signals: number;
  readonly every: number;
  readonly from_s: number;
  readonly to_s: number;
  /** What is wrong with it, or was with the run: a sentence each. */ readonly notes: readonly string[];
}

/** Kinds of files that a recording is given out as: itself, or RFC 4180, Apache Parquet, ASAM MDF 4. */
export type GivenKind = 'psrec' | 'csv' | 'parquet' | 'mf4';
export type Given =
  | {
      readonly ok: true;
      readonly file: Blob;
      readonly name: string;
      /** What of the recording could not be read. */ readonly damages: readonly string[];
    }
  | { readonly ok: false; readonly why: string };

/** The facade of the recorder worker. Refusals are sentences; '' is none. */
export interface StoreApi {
  place(): Promise<Place>;
  /** Bytes that a row of these signals takes, about. */
  rowBytes(signals: readonly SignalId[]): number;
  /** Makes a file for what comes over a port. Resolves to why it cannot be made, '' when it was. */
  begin(drill: string, port: MessagePort): Promise<string>;
  stands(): RecordingStands | undefined;
  /** Resolves when the recording that runs is closed; closes it without an end when none comes. */
  closed(): Promise<RecordingStands | undefined>;
  list(): Promise<readonly KeptRecording[]>;
  give(name: string, kind: GivenKind): Promise<Given>;
  /** Resolves to why it is not removed, '' when it was. */
  remove(name: string): Promise<string>;
}
