/** What stands in a recording, row by row. */
import { type Recording, readChunk } from '../../src/recorder/reader.ts';

/** Every row, tick by tick. */
export async function rowsOf(recording: Recording): Promise<{ ticks: number[]; columns: number[][] }> {
  const ticks: number[] = [];
  const columns: number[][] = recording.header.columns.map(() => []);
  for (const entry of recording.chunks) {
    const chunk = await readChunk(recording, entry);
    for (let k = 0; k < chunk.rows; k++) ticks.push(chunk.firstTick + chunk.ticks[k]);
    chunk.columns.forEach((values, c) => {
      for (const value of values) columns[c].push(value);
    });
  }
  return { ticks, columns };
}
