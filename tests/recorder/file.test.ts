/** A recording of the real bench gives back every row, bit by bit, and its index tells the truth. */
import { describe, expect, it } from 'vitest';
import { chunkText } from '../../src/recorder/chunk.ts';
import { columnsOf } from '../../src/recorder/header.ts';
import { openRecording, type Recording, readChunk, verify } from '../../src/recorder/reader.ts';
import { RecordingWriter } from '../../src/recorder/writer.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { benchWith, sixStep } from '../runner/rig.ts';
import { hexOf } from './hex.ts';
import { END, FEW, Memory, RUN, recordPress, sourceOf } from './rig.ts';

const PRESS = recordPress(700);
const ALL = await openRecording(sourceOf(PRESS.bytes));

/** Every value as the recording must hold it: itself, or the nearest float32. */
const storedAs = (storage: string, value: number) => (storage === 'float64' ? value : Math.fround(value));

async function rowsOf(recording: Recording): Promise<{ ticks: number[]; hex: string[][] }> {
  const ticks: number[] = [];
  const hex: string[][] = [];
  for (const entry of recording.chunks) {
    const chunk = await readChunk(recording, entry);
    for (let k = 0; k < chunk.rows; k++) {
      ticks.push(chunk.firstTick + chunk.ticks[k]);
      hex.push(chunk.columns.map((column) => hexOf(column[k])));
    }
  }
  return { ticks, hex };
}

describe('a recording', () => {
  it('gives back every row with the bits that the bench had, 700 rows in chunks of 128', async () => {
    const { ticks, hex } = await rowsOf(ALL);
    expect(ALL.chunks.map(({ rows }) => rows)).toEqual([128, 128, 128, 128, 128, 60]);
    expect(ticks).toEqual(PRESS.ticks);
    PRESS.samples.forEach((sample, k) => {
      const due = PRESS.columns.map(({ id, storage }) =>
        hexOf(storedAs(storage, sample[SIGNAL_INDEX[id as SignalId]])),
      );
      expect(hex[k], `row ${k}`).toEqual(due);
    });
    expect(await verify(ALL)).toEqual([]);
  });

  it('has the time of a row exactly, though it stores none', () => {
    PRESS.samples.forEach((sample, k) => {
      expect(hexOf(PRESS.ticks[k] * ALL.header.tick_s)).toBe(hexOf(sample[SIGNAL_INDEX.time]));
    });
  });

  it('knows its run, its signals with their units, and what only the end knew', () => {
    expect(ALL.header).toMatchObject({ ...RUN, tick_s: 5e-5, every: 1, chunkRows: 128, version: 1 });
    expect(ALL.header.columns.map(({ id }) => id)).toEqual(SIGNALS.map(({ id }) => id).filter((id) => id !== 'time'));
    const speed = ALL.header.columns.find(({ id }) => id === 'motorSpeed');
    expect(speed).toMatchObject({ unit: 'rad/s', scale: { unit: 'rpm', factor: (2 * Math.PI) / 60, offset: 0 } });
    expect(ALL.end).toEqual(END);
    expect(ALL.rows).toBe(700);
  });

  it('has smallest and largest value of every column and chunk in its index; NaN where there is no reading', () => {
    for (const [number, entry] of ALL.chunks.entries()) {
      const rows = PRESS.samples.slice(128 * number, 128 * number + entry.rows);
      PRESS.columns.forEach(({ id, storage }, c) => {
        const values = rows
          .map((sample) => storedAs(storage, sample[SIGNAL_INDEX[id as SignalId]]))
          .filter((value) => !Number.isNaN(value));
        const [least, most] = values.length === 0 ? [NaN, NaN] : [Math.min(...values), Math.max(...values)];
        // As numbers: 0 and -0 are equally small.
        expect([entry.least[c] + 0, entry.most[c] + 0], `${id} in chunk ${number}`).toEqual([least + 0, most + 0]);
      });
    }
    const sensedC = PRESS.columns.findIndex(({ id }) => id === 'sensedC');
    expect(ALL.chunks.every(({ least }) => Number.isNaN(least[sensedC]))).toBe(true);
  });

  it('takes every n-th tick when asked to', async () => {
    const slow = recordPress(700, { every: 20 });
    const recording = await openRecording(sourceOf(slow.bytes));
    const { ticks, hex } = await rowsOf(recording);
    expect(ticks).toEqual(Array.from({ length: 35 }, (_, k) => 20 * (k + 1)));
    const all = await rowsOf(ALL);
    expect(hex).toEqual(ticks.map((tick) => all.hex[tick - 1]));
  });

  it('is the same bytes for the same run', () => {
    expect(Buffer.compare(recordPress(300).bytes, recordPress(300).bytes)).toBe(0);
  });

  it('leads through many pages of index, one chunk a row', async () => {
    const many = recordPress(400, { chunkRows: 1, columns: FEW });
    const recording = await openRecording(sourceOf(many.bytes));
    expect(recording.chunks).toHaveLength(400);
    expect(recording.chunks.map(({ number }) => number)).toEqual(Array.from({ length: 400 }, (_, k) => k));
    expect((await rowsOf(recording)).ticks).toEqual(many.ticks);
    expect(await verify(recording)).toEqual([]);
  });

  it('keeps bursts with gaps between them, and says where each lies', async () => {
    const memory = new Memory();
    const writer = new RecordingWriter(memory.write, RUN, { columns: FEW, tick_s: 5e-5, every: 1 });
    const sample = new Float64Array(SIGNALS.length);
    for (const first of [10, 1000, 6e9]) {
      for (let tick = first; tick < first + 5; tick++) writer.row(tick, sample);
      writer.flush();
    }
    writer.end(END);
    const recording = await openRecording(sourceOf(memory.bytes()));
    const { ticks } = await rowsOf(recording);
    expect(ticks).toEqual([10, 1000, 6e9].flatMap((first) => [0, 1, 2, 3, 4].map((k) => first + k)));
    expect(chunkText(recording.chunks[1], 5e-5)).toBe('chunk 1 (ticks 1000 to 1004, 0.05 s to 0.0502 s)');
  });

  it('of no rows is whole', async () => {
    const recording = await openRecording(sourceOf(recordPress(0).bytes));
    expect(recording).toMatchObject({ chunks: [], rows: 0, end: END, damages: [] });
  });

  it('refuses what it cannot hold', () => {
    const options = { columns: FEW, tick_s: 5e-5, every: 1 };
    const memory = new Memory();
    expect(() => new RecordingWriter(memory.write, RUN, { ...options, chunkRows: 0 })).toThrow('rows of a chunk: 0');
    expect(() => new RecordingWriter(memory.write, RUN, { ...options, every: 1.5 })).toThrow('every 1.5th tick');
    const wrong = [{ ...FEW[0], id: 'torque' }];
    expect(() => new RecordingWriter(memory.write, RUN, { ...options, columns: wrong })).toThrow("no signal 'torque'");
    const writer = new RecordingWriter(memory.write, RUN, options);
    const sample = new Float64Array(SIGNALS.length);
    writer.row(5, sample);
    expect(() => writer.row(5, sample)).toThrow('tick 5 is not after tick 5');
  });
});

describe('the width of a column', () => {
  it('keeps the small steps of what adds up, which a float32 would lose', () => {
    const bench = benchWith(sixStep(), 0.4);
    const lost = new Map<string, number>();
    let before = bench.sample.slice();
    for (let tick = 0; tick < 2000; tick++) {
      bench.tickOnce();
      for (const { id, storage } of columnsOf()) {
        const [was, is] = [before[SIGNAL_INDEX[id as SignalId]], bench.sample[SIGNAL_INDEX[id as SignalId]]];
        if (was !== is && Math.fround(was) === Math.fround(is) && Math.abs(is) > 0) {
          lost.set(`${storage} ${id}`, (lost.get(`${storage} ${id}`) ?? 0) + 1);
        }
      }
      before = bench.sample.slice();
    }
    // Charge and the temperatures creep: most of their steps are below what a float32 resolves there.
    for (const id of ['charge', 'cellHeat', 'windingHeat', 'magnetHeat', 'magnetFlux'])
      expect(lost.get(`float64 ${id}`), id).toBeGreaterThan(500);
    console.log('steps of 2000 that a float32 would not show:', Object.fromEntries(lost));
  });
});
