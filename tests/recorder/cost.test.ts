/** What recording costs: 20 kHz and all signals for a second, beside the plant; memory that stays as it is. */
import { closeSync, openSync, rmSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { columnsOf } from '../../src/recorder/header.ts';
import { Ring } from '../../src/recorder/ring.ts';
import { RecordingWriter } from '../../src/recorder/writer.ts';
import { SIGNALS } from '../../src/signals.ts';
import { folder } from '../cli/sim.ts';
import { benchWith, sixStep } from '../runner/rig.ts';
import { END, RUN } from './rig.ts';

const TICKS = 20_000;
const SLICE = 1000;
const OPTIONS = { columns: columnsOf(), tick_s: 5e-5, every: 1 };

describe('recording every signal at 20 kHz', () => {
  it('takes a small part of the time of the plant', () => {
    const path = join(folder(), 'cost.psrec');
    const file = openSync(path, 'w');
    let bytes = 0;
    const sink = (part: Uint8Array) => {
      bytes += writeSync(file, part);
    };
    const bench = benchWith(sixStep(), 0.5);
    const samples = Array.from({ length: SLICE }, () => new Float64Array(SIGNALS.length));
    const writer = new RecordingWriter(sink, RUN, OPTIONS);
    let plant_ms = 0;
    let record_ms = 0;
    // A quarter of a second to have everything compiled, then one that counts.
    for (let slice = -5; slice < TICKS / SLICE; slice++) {
      const began = performance.now();
      for (let k = 0; k < SLICE; k++) {
        bench.tickOnce();
        samples[k].set(bench.sample);
      }
      const between = performance.now();
      const first = bench.plant.tick - SLICE;
      for (let k = 0; k < SLICE; k++) writer.row(first + k, samples[k]);
      if (slice < 0) continue;
      plant_ms += between - began;
      record_ms += performance.now() - between;
    }
    writer.end(END);
    closeSync(file);
    rmSync(path);
    const share = record_ms / plant_ms;
    console.log(
      `1 s at 20 kHz, ${SIGNALS.length} signals: plant ${plant_ms.toFixed(0)} ms, recording ${record_ms.toFixed(0)} ms` +
        ` (${(100 * share).toFixed(0)} %), ${(bytes / 1.25 / 1e6).toFixed(2)} MB a second`,
    );
    // Whoever records may wait half as long again, not twice as long; what it takes is printed above.
    expect(share).toBeLessThan(0.5);
  });

  it('allocates nothing a row, and holds no more after 56 s than after two', () => {
    // A sink that keeps nothing; only the rows count.
    let written = 0;
    const writer = new RecordingWriter((part) => (written += part.length), RUN, OPTIONS);
    const ring = new Ring(TICKS);
    const sample = Float64Array.from({ length: SIGNALS.length }, (_, k) => Math.sqrt(k));
    let tick = 0;
    const rows = (count: number) => {
      for (const until = tick + count; tick < until; tick++) {
        sample[3] = tick;
        writer.row(tick, sample);
        ring.push(tick, sample);
      }
    };
    rows(2 * TICKS); // compiled, and the tables of the chunk are there
    const held = ring.bytes;
    const outside = process.memoryUsage().arrayBuffers;
    // The engine lays something aside for itself once in a while, 0.2 MB at a time; what rows leave would be there each time.
    const spans = Array.from({ length: 3 }, () => {
      const before = process.memoryUsage().heapUsed;
      rows(18 * TICKS);
      return process.memoryUsage().heapUsed - before;
    });
    const [, grown] = spans.sort((a, b) => a - b);
    const buffers = process.memoryUsage().arrayBuffers - outside;
    console.log(
      `3 x 18 s, ${54 * TICKS} rows, ${(written / 1e6).toFixed(0)} MB: heap ${spans.join(', ')} bytes, buffers ${buffers} bytes`,
    );
    expect(ring.bytes).toBe(held);
    expect(buffers).toBe(0);
    // A row that allocated a single number would leave 16 bytes a row, 6 MB; collected or not, this is below one of it.
    expect(grown).toBeLessThan(18 * TICKS);
  });
});
