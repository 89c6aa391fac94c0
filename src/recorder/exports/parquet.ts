/**
 * A recording as a Parquet table: `tick` as INT64, `time` as DOUBLE, each signal as FLOAT or DOUBLE as it was stored, in
 * SI. A reading that does not exist is null. Units and the header of the recording are key-value metadata of the file:
 * `units` and `shown` map column to unit, `recording` is the header, `end` what the end of the run told.
 */
import { type ColumnSource, ParquetWriter, schemaFromColumnData, type Writer } from 'hyparquet-writer';
import type { Damage } from '../blocks.ts';
import type { Column } from '../header.ts';
import type { Recording } from '../reader.ts';
import { type Batch, batches, type Selection, selected } from '../rows.ts';

/** Rows of a row group, about: what is held in memory at a time. */
const GROUP_ROWS = 32 * 1024;

/** Writes the table and returns its rows. Throws RangeError on a selection that cannot be. */
export async function exportParquet(
  recording: Recording,
  selection: Selection,
  writer: Writer,
  onDamage: (damage: Damage) => void,
): Promise<number> {
  const { header, end } = recording;
  const columns = selected(recording, selection);
  const parquet = new ParquetWriter({
    writer,
    schema: schemaFromColumnData({ columnData: sources([], columns, header.tick_s) }),
    createdBy: header.versions.program ?? 'phantom-spindle',
    kvMetadata: Object.entries({
      units: Object.fromEntries([['time', 's'], ...columns.map(({ id, unit }) => [id, unit])]),
      shown: Object.fromEntries(columns.map(({ id, scale }) => [id, scale])),
      recording: { ...header, columns },
      end: end ?? null,
    }).map(([key, value]) => ({ key, value: JSON.stringify(value) })),
  });
  let rows = 0;
  let held: Batch[] = [];
  const put = async () => {
    const count = held.reduce((sum, batch) => sum + batch.rows, 0);
    if (count > 0) await parquet.write({ columnData: sources(held, columns, header.tick_s), rowGroupSize: count });
    held = [];
    rows += count;
  };
  for await (const batch of batches(recording, selection, onDamage)) {
    held.push(batch);
    if (held.reduce((sum, each) => sum + each.rows, 0) >= GROUP_ROWS) await put();
  }
  await put();
  await parquet.finish();
  return rows;
}

/** Columns of some batches, one behind the other. PLAIN, since a dictionary would take -0 for 0. */
function sources(held: readonly Batch[], columns: readonly Column[], tick_s: number): ColumnSource[] {
  const ticks = joined(held.map((batch) => batch.ticks));
  return [
    { name: 'tick', type: 'INT64', nullable: false, encoding: 'PLAIN', data: BigInt64Array.from(ticks, BigInt) },
    {
      name: 'time',
      type: 'DOUBLE',
      nullable: false,
      encoding: 'PLAIN',
      data: Float64Array.from(ticks, (k) => k * tick_s),
    },
    ...columns.map(({ id, storage }, c): ColumnSource => {
      const data = joined(held.map((batch) => batch.columns[c]));
      const type = storage === 'float64' ? 'DOUBLE' : 'FLOAT';
      return { name: id, type, nullable: true, encoding: 'PLAIN', data: withNulls(data) };
    }),
  ];
}

/** Without any NaN, the array as it is: those with null take their time. */
function withNulls(data: Float64Array): ColumnSource['data'] {
  return data.some(Number.isNaN) ? Array.from(data, (value) => (Number.isNaN(value) ? null : value)) : data;
}

/** A float32 is a float64 as well, and goes back to the same bits. */
function joined(parts: readonly ArrayLike<number>[]): Float64Array {
  const all = new Float64Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
