/** A recording that the page makes beside everything else, read back outside of it: each tick once. */
import { open as openFile } from 'node:fs/promises';
import { openRecording, readChunk, verify } from '../../src/recorder/reader.ts';
import type { OpenPage } from '../support/page.ts';

export interface Recorded {
  readonly rows: number;
  /** Rows that do not follow the one before by one tick. */ readonly gaps: number;
  /** Rows that the recorder itself says are missing. */ readonly missing: number;
  /** What is wrong with the file, a sentence each. */ readonly damages: readonly string[];
}

const button = ({ page }: OpenPage, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });

/** Begins one with what the page offers: the usual signals at every tick. */
export async function beginRecording(open: OpenPage): Promise<void> {
  await button(open, 'Keep').click();
  await button(open, 'Record').click();
  await open.shows(/^Recording: /);
}

/** Ends it, takes it out of the page and reads it. */
export async function endRecording(open: OpenPage): Promise<Recorded> {
  await button(open, 'Keep').click();
  await button(open, 'End recording').click();
  await open.shows(/^Ended\. /);
  const save = button(open, /^psrec: save /).first();
  const [download] = await Promise.all([open.page.waitForEvent('download'), save.click()]);
  const file = await openFile(await download.path());
  try {
    const { size } = await file.stat();
    const recording = await openRecording({
      size,
      read: async (at, length) => {
        const bytes = new Uint8Array(length);
        const { bytesRead } = await file.read(bytes, 0, length, at);
        return bytes.subarray(0, bytesRead);
      },
    });
    let rows = 0;
    let gaps = 0;
    let last = Number.NaN;
    for (const entry of recording.chunks) {
      const chunk = await readChunk(recording, entry);
      for (let k = 0; k < chunk.rows; k++) {
        const tick = chunk.firstTick + chunk.ticks[k];
        if (rows++ > 0 && tick !== last + 1) gaps++;
        last = tick;
      }
    }
    const damages = (await verify(recording)).map(({ text }) => text);
    return { rows, gaps, missing: recording.end?.counters.rowsMissing ?? Number.NaN, damages };
  } finally {
    await file.close();
  }
}
