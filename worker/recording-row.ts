/** A line of the list of recordings, from the recording itself. */
import { openRecording } from '../src/recorder/reader.ts';
import type { KeptRecording, Place } from './recording-api.ts';
import { blobSource } from './recording-exports.ts';

/** @param busy who makes it just now, '' for nobody */
export async function rowOf(
  name: string,
  place: Place['kind'],
  blob: Blob,
  busy: 'here' | 'elsewhere' | '',
): Promise<KeptRecording> {
  const blank = {
    name,
    place,
    size_B: blob.size,
    made: '',
    title: '',
    controller: '',
    coupling: '',
    rows: 0,
    signals: 0,
    every: 1,
    from_s: 0,
    to_s: 0,
  };
  if (busy !== '') return { ...blank, state: busy, notes: [] };
  try {
    const { header, chunks, rows, end, damages } = await openRecording(blobSource(blob));
    const { made, controller, coupling, every, columns, tick_s, scenario } = header;
    const [first, last] = [chunks[0], chunks.at(-1)];
    return {
      ...blank,
      state: end && damages.length === 0 ? 'whole' : 'cut',
      made,
      title: scenario.title,
      controller,
      coupling,
      rows,
      signals: columns.length,
      every,
      from_s: first ? first.firstTick * tick_s : 0,
      to_s: last ? last.lastTick * tick_s : 0,
      notes: [...damages.map(({ text }) => text), ...(end?.why ? [end.why] : [])],
    };
  } catch (error) {
    return { ...blank, state: 'unreadable', notes: [(error as Error).message] };
  }
}
