/** The header of a recording from its text. Its checksum held, so what is wrong here was written wrong. */
import { RecordingError } from './blocks.ts';
import { FORMAT_NAME, type Header } from './header.ts';
import { ROWS_MOST } from './layout.ts';

/** Throws RecordingError naming what is not as it must be. */
export function headerOf(text: string): Header {
  let read: Partial<Header> | null;
  try {
    read = JSON.parse(text);
  } catch (error) {
    throw new RecordingError(`has a header that is no JSON: ${(error as Error).message}`);
  }
  const wrong = (what: string): never => {
    throw new RecordingError(`has a header without ${what}`);
  };
  const { format, tick_s, every, chunkRows, columns } = read ?? {};
  if (format !== FORMAT_NAME) wrong(`format '${FORMAT_NAME}'`);
  if (typeof tick_s !== 'number' || !(tick_s > 0)) wrong('tick_s, the time of a tick');
  if (!isCount(every)) wrong('every, the ticks from row to row');
  if (!isCount(chunkRows) || chunkRows > ROWS_MOST) wrong('chunkRows, the rows of a chunk');
  if (!Array.isArray(columns)) throw new RecordingError('has a header without columns');
  for (const { id, unit, scale, storage } of columns) {
    const stored = storage === 'float32' || storage === 'float64';
    if (typeof id !== 'string' || typeof unit !== 'string' || typeof scale?.factor !== 'number' || !stored) {
      wrong(`id, unit, scale and storage of column '${String(id)}'`);
    }
  }
  return read as Header;
}

const isCount = (value: unknown): value is number => Number.isInteger(value) && (value as number) >= 1;
