/** What a recording says about itself: its signals and the run that it comes from, as JSON at its start and its end. */
import { SIGNALS, type Signal } from '../signals.ts';
import { displayUnit } from '../units/convert.ts';

/** Version of the file. A reader takes its own and every older one. */
export const FORMAT_VERSION = 1;
export const FORMAT_NAME = 'phantom-spindle recording';

/** How a column is stored. */
export type Storage = 'float32' | 'float64';

/** A signal as the file describes it, so that it can be read when the table of signals has changed. */
export interface Column {
  readonly id: string;
  /** SI unit of the stored value, '' when dimensionless. */ readonly unit: string;
  /** Unit a person reads: SI value = shown value * factor + offset. */
  readonly scale: { readonly unit: string; readonly factor: number; readonly offset: number };
  readonly origin: string;
  readonly doc: string;
  readonly storage: Storage;
  /** Why it has no reading in this coupling. */ readonly absent?: string;
}

/** The run, as far as it is known before its first tick. Values are SI. */
export interface RunHeader {
  readonly drill: string;
  readonly drillSha256: string;
  readonly scenario: { readonly file: string; readonly title: string; readonly sha256: string };
  readonly controller: string;
  readonly board: string;
  readonly firmware: string;
  readonly coupling: string;
  /** Exchanges a second, where the coupling sets them. */ readonly rate_Hz: number | null;
  readonly seed: number;
  readonly step_s: number;
  readonly versions: Readonly<Record<string, string>>;
  /** When it was begun, ISO 8601. */ readonly made: string;
}

export interface Header extends RunHeader {
  readonly format: typeof FORMAT_NAME;
  readonly version: number;
  /** Time of a tick [s]; the time of a row is its tick times this. */ readonly tick_s: number;
  /** Ticks from one row to the next. */ readonly every: number;
  /** Rows of a full chunk. */ readonly chunkRows: number;
  readonly columns: readonly Column[];
}

/** What only the end knows. */
export interface RunEnd {
  readonly verdict: string;
  readonly why: string;
  readonly stateHash: string;
  readonly virtual_s: number;
  readonly counters: Readonly<Record<string, number>>;
  /** When injected faults began and ended. */ readonly faults: readonly object[];
}

/**
 * Signals that add up, or follow one that does, and so move by small steps: a step may be below what a float32 resolves at their size, and a recording that
 * rounds it away shows a staircase, or nothing, where there is a slope.
 */
const SUMS: readonly string[] = [
  'charge',
  'chuckAngle',
  'clutchSlip',
  'screwDepth',
  'stripped',
  'shankTwist',
  'legHeatA',
  'legHeatB',
  'legHeatC',
  'windingHeat',
  'magnetHeat',
  'magnetFlux',
  'cellHeat',
  'energyResidual',
];

/** The signals with a column; `time` has none, since the tick of a row says it exactly. */
export const RECORDED: readonly Signal[] = SIGNALS.filter(({ id }) => id !== 'time');

/** Columns of the present table of signals. */
export function columnsOf(absent: Readonly<Partial<Record<string, string>>> = {}): Column[] {
  return RECORDED.map(({ id, unit, show, origin, doc }) => {
    const { factor, offset = 0 } = displayUnit(show);
    const storage: Storage = SUMS.includes(id) ? 'float64' : 'float32';
    const why = absent[id];
    return {
      id,
      unit,
      scale: { unit: show, factor, offset },
      origin,
      doc,
      storage,
      ...(why === undefined ? {} : { absent: why }),
    };
  });
}
