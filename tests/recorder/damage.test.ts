/** What is left of a recording that was cut, damaged, or never was one; and what the reader says of it. */
import { describe, expect, it } from 'vitest';
import { type Damage, RecordingError } from '../../src/recorder/blocks.ts';
import { crc32 } from '../../src/recorder/crc32.ts';
import { exportCsv } from '../../src/recorder/exports/csv.ts';
import { openRecording, type Recording, verify } from '../../src/recorder/reader.ts';
import { FEW, recordPress, sourceOf } from './rig.ts';

const SMALL = recordPress(40, { columns: FEW, chunkRows: 8 });
const WHOLE = await openRecording(sourceOf(SMALL.bytes));
const chunkAt = (number: number) => WHOLE.chunks[number].at;

const open = (bytes: Uint8Array): Promise<Recording> => openRecording(sourceOf(bytes));

/** All that is said of some bytes, whether they open or not. */
async function damagesOf(bytes: Uint8Array): Promise<readonly Damage[]> {
  try {
    return await verify(await open(bytes));
  } catch (error) {
    if (error instanceof RecordingError) return [error.damage];
    throw error;
  }
}

const flipped = (byte: number, bit: number): Uint8Array => {
  const bytes = SMALL.bytes.slice();
  bytes[byte] ^= 1 << bit;
  return bytes;
};

async function ticksOf(recording: Recording): Promise<number[]> {
  let text = '';
  await exportCsv(
    recording,
    {},
    (part) => (text += part),
    () => undefined,
  );
  return text
    .trimEnd()
    .split('\r\n')
    .slice(2)
    .map((line) => Number(line.split(',')[0]));
}

describe('a recording that ends early', () => {
  it('gives every chunk that is whole, at whatever byte it ends, and says up to when', async () => {
    const head = chunkAt(0);
    for (let length = head; length < SMALL.bytes.length; length++) {
      const recording = await open(SMALL.bytes.slice(0, length));
      const whole = WHOLE.chunks.filter((chunk) => chunk.at + chunk.length <= length).length;
      expect(recording.chunks.length, `cut at ${length}`).toBe(whole);
      expect(recording.end).toBeUndefined();
      const last = recording.damages.at(-1)?.text ?? '';
      expect(last).toContain('the recording was not ended: the program was stopped or the file was cut');
      expect(last).toContain(whole === 0 ? 'no row is kept' : `before tick ${8 * whole + 1}`);
    }
  });

  it('names what it is cut within', async () => {
    const { damages } = await open(SMALL.bytes.slice(0, chunkAt(2) + 100));
    expect(damages.map(({ text }) => text)).toEqual([
      `the file ends within a chunk: 100 bytes from byte ${chunkAt(2)} on cannot be read`,
      'the recording was not ended: the program was stopped or the file was cut; kept is what came before tick 17 (0.0008 s)',
    ]);
  });

  it('loses no more than the rows that the writer still held', async () => {
    const { bytes } = recordPress(39, { columns: FEW, chunkRows: 8, ended: false });
    const ticks = await ticksOf(await open(bytes));
    expect(ticks).toEqual(Array.from({ length: 32 }, (_, k) => k + 1));
  });

  it.each([0, 1, 7, 15])('of %i bytes is refused in words', async (length) => {
    const why = length === 0 ? 'is empty' : `ends after ${length} bytes, before its header`;
    await expect(open(SMALL.bytes.slice(0, length))).rejects.toThrow(why);
  });

  it.each([16, 17, 100])('of %i bytes is refused as cut within its header', async (length) => {
    await expect(open(SMALL.bytes.slice(0, length))).rejects.toThrow(`ends after ${length} bytes, within its header`);
  });
});

describe('one flipped bit', () => {
  it('is found and named by byte and bit, wherever it is', async () => {
    for (let byte = 0; byte < SMALL.bytes.length; byte++) {
      const bit = byte % 8;
      const damages = await damagesOf(flipped(byte, bit));
      const named = damages.filter((damage) => damage.byte === byte && damage.bit === bit);
      expect(named, `byte ${byte}, bit ${bit}: ${damages.map(({ text }) => text).join('; ')}`).toHaveLength(1);
      expect(damages).toHaveLength(1);
    }
  });

  it('in a chunk costs that chunk, named with its time, and no other', async () => {
    const recording = await open(flipped(chunkAt(3) + 50, 5));
    const found = await verify(recording);
    expect(found.map(({ text }) => text)).toEqual([
      `chunk 3 (ticks 25 to 32, 0.00125 s to 0.0016 s): bit 5 of byte ${chunkAt(3) + 50} is flipped`,
    ]);
    expect(await ticksOf(recording)).toEqual(SMALL.ticks.filter((tick) => tick < 25 || tick > 32));
  });

  it('in the index or in the end costs no row', async () => {
    for (const byte of [chunkAt(4) + WHOLE.chunks[4].length + 30, SMALL.bytes.length - 1, SMALL.bytes.length - 6]) {
      const recording = await open(flipped(byte, 2));
      expect(recording.damages).toHaveLength(1);
      expect(await ticksOf(recording)).toEqual(SMALL.ticks);
    }
  });

  it('is found in a recording that was not ended as well, its length and its letters included', async () => {
    const { bytes } = recordPress(32, { columns: FEW, chunkRows: 8, ended: false });
    for (let byte = chunkAt(1); byte < chunkAt(2); byte++) {
      const copy = bytes.slice();
      copy[byte] ^= 0x10;
      const recording = await open(copy);
      expect(recording.damages[0]).toMatchObject({ byte, bit: 4 });
      expect(recording.damages[0].text).toContain('chunk 1 (ticks 9 to 16, ');
      expect(recording.chunks.map(({ number }) => number)).toEqual([0, 2, 3]);
      expect(recording.damages).toHaveLength(2);
    }
  });
});

describe('a recording that is damaged more', () => {
  it('gives what is whole on both sides of a hole, and says what is missing', async () => {
    const bytes = new Uint8Array(SMALL.bytes.length - (chunkAt(3) - chunkAt(1)));
    bytes.set(SMALL.bytes.subarray(0, chunkAt(1)));
    bytes.set(SMALL.bytes.subarray(chunkAt(3)), chunkAt(1));
    const recording = await open(bytes);
    expect(recording.chunks.map(({ number }) => number)).toEqual([0, 3, 4]);
    expect(recording.damages.map(({ text }) => text)).toEqual([
      'chunks 1 to 2 are missing: nothing after 0.0004 s and before 0.00125 s',
    ]);
  });

  it('finds the next chunk behind bytes that are none', async () => {
    const bytes = SMALL.bytes.slice();
    bytes.fill(0xa5, chunkAt(1), chunkAt(2) - 16);
    const recording = await open(bytes.subarray(0, chunkAt(4)));
    expect(recording.chunks.map(({ number }) => number)).toEqual([0, 2, 3]);
    expect(recording.damages.map(({ text }) => text).slice(0, 2)).toEqual([
      `bytes ${chunkAt(1)} to ${chunkAt(2) - 1} are no part of a recording`,
      'chunk 1 is missing: nothing after 0.0004 s and before 0.00085 s',
    ]);
  });

  it('with bits flipped all over never gives a row that was not recorded', async () => {
    const good = new Map<number, string>();
    let text = '';
    await exportCsv(
      WHOLE,
      {},
      (part) => (text += part),
      () => undefined,
    );
    for (const line of text.trimEnd().split('\r\n').slice(2)) good.set(Number(line.split(',')[0]), line);
    for (let round = 0; round < 200; round++) {
      const bytes = SMALL.bytes.slice();
      for (let hit = 0; hit < 6; hit++) {
        const place = (round * 7919 + hit * 104729) % (8 * (bytes.length - chunkAt(0)));
        bytes[chunkAt(0) + (place >> 3)] ^= 1 << (place & 7);
      }
      const recording = await open(bytes);
      let some = '';
      const said: Damage[] = [...recording.damages];
      await exportCsv(
        recording,
        {},
        (part) => (some += part),
        (damage) => said.push(damage),
      );
      for (const line of some.trimEnd().split('\r\n').slice(2)) {
        expect(line).toBe(good.get(Number(line.split(',')[0])));
      }
      expect(said.length).toBeGreaterThan(0);
    }
  });
});

describe('a file that is no recording, or a newer one', () => {
  it.each([
    ['time,packOcv\r\ns,V\r\n', 'it begins as a table as CSV'],
    ['PAR1\u0015\u0004', 'it begins as a Parquet file'],
    ['MDF     4.10    phantom ', 'it begins as an MDF file'],
    ['{"verdict":"passed"}', 'it begins as JSON'],
    ['GIF89a          ', 'it begins as the bytes 47 49 46 38 39 61 20 20'],
  ])('beginning %j is refused with what it is', async (begin, why) => {
    await expect(open(new TextEncoder().encode(begin))).rejects.toThrow(`is no recording of this bench: ${why}`);
  });

  it('of a newer version is refused with both versions', async () => {
    const bytes = SMALL.bytes.slice();
    const view = new DataView(bytes.buffer);
    view.setUint32(8, 2, true);
    view.setUint32(12, crc32(bytes, 0, 12), true);
    await expect(open(bytes)).rejects.toThrow('has version 2 of the format; this program reads 1 to 1');
  });
});
