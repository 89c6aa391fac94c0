/**
 * A recording as a table of text: RFC 4180 (commas, CRLF, quotes where needed), UTF-8, dot decimal, a row of names, a row
 * of units, then a row a row. Numbers are the shortest decimals that read back to the same float64; a reading that does
 * not exist is an empty field.
 */
import type { Damage } from '../blocks.ts';
import type { Column } from '../header.ts';
import type { Recording } from '../reader.ts';
import { batches, type Selection, selected } from '../rows.ts';

/** SI as stored, exactly; or the units a person reads, rounded by their conversion. */
export type CsvUnits = 'si' | 'shown';

/** Lines gathered before they are written. */
const LINES = 256;

/** Writes the table and returns its rows. Throws RangeError on a selection that cannot be. */
export async function exportCsv(
  recording: Recording,
  selection: Selection & { readonly units?: CsvUnits },
  write: (text: string) => void,
  onDamage: (damage: Damage) => void,
): Promise<number> {
  const { tick_s } = recording.header;
  const shown = selection.units === 'shown';
  const columns = selected(recording, selection);
  const units = columns.map(({ unit, scale }) => (shown ? scale.unit : unit));
  write(`${line(['tick', 'time', ...columns.map(({ id }) => id)])}${line(['', 's', ...units])}`);
  let rows = 0;
  for await (const batch of batches(recording, selection, onDamage)) {
    let text = '';
    for (let k = 0; k < batch.rows; k++) {
      text += `${batch.ticks[k]},${number(batch.ticks[k] * tick_s)}`;
      for (let c = 0; c < columns.length; c++) {
        const value = batch.columns[c][k];
        text += `,${number(shown ? shownOf(value, columns[c]) : value)}`;
      }
      text += '\r\n';
      if (k % LINES === LINES - 1) {
        write(text);
        text = '';
      }
    }
    write(text);
    rows += batch.rows;
  }
  return rows;
}

const shownOf = (value: number, { scale }: Column): number => (value - scale.offset) / scale.factor;

/** -0 keeps its sign: it is another float64 than 0. */
const number = (value: number): string => (Number.isFinite(value) ? (Object.is(value, -0) ? '-0' : String(value)) : '');

const line = (fields: readonly string[]): string => `${fields.map(quoted).join(',')}\r\n`;

const quoted = (field: string): string => (/[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field);
