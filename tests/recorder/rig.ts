/** A recording of the real bench in memory, with the samples that went into it. */
import type { ByteSource } from '../../src/recorder/blocks.ts';
import { type Column, columnsOf, type RunEnd, type RunHeader } from '../../src/recorder/header.ts';
import { RecordingWriter } from '../../src/recorder/writer.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { benchWith, OPTIONS, sixStep } from '../runner/rig.ts';

/** Shunts in A and B only: sensedC never has a reading. */
const BOARD = boardFor(OPTIONS.drill, { shunts: 'ab' });

export const RUN: RunHeader = {
  drill: 'bench-18',
  drillSha256: 'aa'.repeat(32),
  scenario: { file: 'press.yaml', title: 'A press, "short" & <sharp>', sha256: 'bb'.repeat(32) },
  controller: 'builtin:hall-six-step',
  board: 'virtual',
  firmware: '1.0.0',
  coupling: 'in-process',
  rate_Hz: null,
  seed: 11,
  step_s: 1e-6,
  versions: { program: 'phantom-spindle 0.1.0', 'Node.js': 'v20.19.0' },
  made: '2026-01-02T03:04:05Z',
};

export const END: RunEnd = {
  verdict: 'passed',
  why: '',
  stateHash: '0123456789abcdef',
  virtual_s: 0.1,
  counters: { ticks: 2000 },
  faults: [],
};

/** Bytes in memory as a source; every read is a copy, as from a file. */
export const sourceOf = (bytes: Uint8Array): ByteSource => ({
  size: bytes.length,
  read: (at, length) => bytes.slice(at, at + length),
});

/** Gathers what a sink gets. */
export class Memory {
  private parts: Uint8Array[] = [];

  readonly write = (bytes: Uint8Array): void => {
    this.parts.push(bytes.slice());
  };

  readonly patch = (at: number, bytes: Uint8Array): void => {
    const all = this.bytes();
    all.set(bytes, at);
    this.parts = [all];
  };

  bytes(): Uint8Array {
    const all = new Uint8Array(this.parts.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const part of this.parts) {
      all.set(part, at);
      at += part.length;
    }
    return all;
  }
}

export interface Recorded {
  readonly bytes: Uint8Array;
  /** Copies of the samples of the rows, by SIGNAL_INDEX. */ readonly samples: Float64Array[];
  readonly ticks: number[];
  readonly columns: Column[];
  readonly tick_s: number;
}

/** Presses the trigger and records. */
export function recordPress(
  ticks: number,
  { every = 1, chunkRows = 128, columns = columnsOf(), ended = true } = {},
): Recorded {
  const bench = benchWith(sixStep(), 0.5, { board: BOARD });
  const memory = new Memory();
  const tick_s = bench.plant.period_s;
  const writer = new RecordingWriter(memory.write, RUN, { columns, tick_s, every, chunkRows });
  const samples: Float64Array[] = [];
  const rows: number[] = [];
  for (let tick = 1; tick <= ticks; tick++) {
    bench.tickOnce();
    writer.see(bench.plant.tick, bench.sample);
    if (bench.plant.tick % every !== 0) continue;
    samples.push(bench.sample.slice());
    rows.push(bench.plant.tick);
  }
  if (ended) writer.end(END);
  return { bytes: memory.bytes(), samples, ticks: rows, columns, tick_s };
}

/** A few columns, both widths, so that a file is small enough to be damaged at every place. */
export const FEW: Column[] = columnsOf().filter(({ id }) => ['link', 'charge', 'currentA', 'sensedC'].includes(id));
