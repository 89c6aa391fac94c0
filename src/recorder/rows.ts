/** Rows of a recording for an export: which signals, which time, every how many-th row; a batch a chunk. */
import { type Damage, RecordingError } from './blocks.ts';
import type { Column } from './header.ts';
import { type Recording, readChunk } from './reader.ts';

export interface Selection {
  /** Signals by id, in this order; all without. */ readonly signals?: readonly string[];
  /** First and last time [s]. */ readonly from_s?: number;
  readonly to_s?: number;
  /** Every how many-th row of those in the time; 1 without. */ readonly every?: number;
}

export interface Batch {
  readonly rows: number;
  readonly ticks: Float64Array;
  /** As the columns of the selection. */ readonly columns: readonly (Float32Array | Float64Array)[];
}

/** Columns of a selection. Throws RangeError naming a signal that the recording does not hold. */
export function selected({ header }: Recording, { signals }: Selection): Column[] {
  if (signals === undefined) return [...header.columns];
  return signals.map((id) => {
    const column = header.columns.find((each) => each.id === id);
    if (column) return column;
    throw new RangeError(
      `signal '${id}' is not in the recording; there are ${header.columns.map((each) => each.id).join(', ')}`,
    );
  });
}

/**
 * The rows, a batch for each chunk that has any. A chunk that is damaged is told to `onDamage` and left out.
 * Throws RangeError on a selection that cannot be.
 */
export async function* batches(
  recording: Recording,
  selection: Selection,
  onDamage: (damage: Damage) => void,
): AsyncGenerator<Batch> {
  const { header } = recording;
  const { from_s = 0, to_s = Number.POSITIVE_INFINITY, every = 1 } = selection;
  if (!Number.isInteger(every) || every < 1) throw new RangeError(`every ${every}th row; allowed is 1 or more`);
  const places = selected(recording, selection).map((column) => header.columns.indexOf(column));
  let seen = 0;
  for (const entry of recording.chunks) {
    if (entry.lastTick * header.tick_s < from_s || entry.firstTick * header.tick_s > to_s) continue;
    const chunk = await readChunk(recording, entry).catch((error: unknown) => {
      if (!(error instanceof RecordingError)) throw error;
      onDamage(error.damage);
    });
    if (!chunk) continue;
    const taken: number[] = [];
    for (let k = 0; k < chunk.rows; k++) {
      const time_s = (chunk.firstTick + chunk.ticks[k]) * header.tick_s;
      if (time_s >= from_s && time_s <= to_s && seen++ % every === 0) taken.push(k);
    }
    if (taken.length === 0) continue;
    yield {
      rows: taken.length,
      ticks: Float64Array.from(taken, (k) => chunk.firstTick + chunk.ticks[k]),
      columns: places.map((place) => {
        const values = chunk.columns[place];
        if (taken.length === chunk.rows) return values;
        return values instanceof Float64Array
          ? Float64Array.from(taken, (k) => values[k])
          : Float32Array.from(taken, (k) => values[k]);
      }),
    };
  }
}
