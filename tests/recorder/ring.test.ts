/** The ring against plain lists: what stays, what a window shows, and that it grows by nothing. */
import { describe, expect, it } from 'vitest';
import { Ring } from '../../src/recorder/ring.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { benchWith, sixStep } from '../runner/rig.ts';
import { seeded } from '../support/seeded.ts';

/** Smallest and largest of some values, NaN left out, by the simplest means. */
function extremes(values: readonly number[]): [number, number] {
  const known = values.filter((value) => !Number.isNaN(value));
  return known.length === 0 ? [Number.NaN, Number.NaN] : [Math.min(...known), Math.max(...known)];
}

describe('the ring', () => {
  it('holds the last rows of the bench before and after an event, and then no other', () => {
    const bench = benchWith(sixStep(), 0);
    const ring = new Ring(400);
    const all: Float64Array[] = [];
    const run = (ticks: number) => {
      for (let k = 0; k < ticks; k++) {
        bench.tickOnce();
        ring.push(bench.plant.tick, bench.sample);
        all.push(bench.sample.slice());
      }
    };
    run(900);
    bench.plant.hands.set('trigger', 0.6);
    ring.stopAfter(150);
    ring.stopAfter(10); // the first event stands
    run(140);
    expect(ring.stopped).toBe(false);
    run(200);
    expect(ring.stopped).toBe(true);
    expect(ring.count).toBe(1050);
    expect(ring.capacity).toBe(512);
    expect(ring.oldest).toBe(1050 - 512);
    // The event is inside: released before it, pressed behind it.
    const trigger = SIGNAL_INDEX.trigger;
    expect([ring.valueAt(trigger, 899), ring.valueAt(trigger, 900)]).toEqual([0, 0.6]);
    const out = new Float64Array(SIGNALS.length);
    for (let row = ring.oldest; row < ring.count; row++) {
      ring.copyRow(row, out);
      expect(out).toEqual(all[row]);
      expect(ring.tickAt(row)).toBe(row + 1);
    }
    expect(ring.tickAt(ring.oldest - 1)).toBeNaN();
    expect(ring.valueAt(trigger, ring.count)).toBeNaN();
    ring.resume();
    run(1);
    expect(ring.count).toBe(1051);
  });

  it('shows the smallest and largest value of every part of any window, as a search through all rows does', () => {
    const draw = seeded(3);
    const ring = new Ring(5000, [0, 1]);
    const rows: [number, number][] = [];
    const sample = new Float64Array(2);
    for (const count of [1, 15, 16, 300, 4096, 9000, 700, 3]) {
      for (let k = 0; k < count; k++) {
        // Values that only fall and only rise part by part, some without a reading, and a stretch without any.
        const hole = rows.length % 2000 < 100;
        sample[0] = hole || draw() < 0.05 ? Number.NaN : Math.sin(rows.length / 300) + draw();
        sample[1] = -rows.length;
        rows.push([sample[0], sample[1]]);
        ring.push(rows.length, sample);
      }
      for (let round = 0; round < 40; round++) {
        const from = Math.floor(draw() * (rows.length + 40)) - 20;
        const to = from + 1 + Math.floor(draw() * 6000);
        const parts = 1 + Math.floor(draw() * 30);
        const [least, most] = [new Float64Array(parts), new Float64Array(parts)];
        for (const column of [0, 1]) {
          ring.window(column, from, to, least, most);
          for (let part = 0; part < parts; part++) {
            const begin = Math.max(ring.oldest, from + Math.floor(((to - from) * part) / parts));
            const end = from + Math.floor(((to - from) * (part + 1)) / parts);
            const there = rows.slice(begin, Math.max(begin, end)).map((row) => row[column]);
            expect([least[part], most[part]], `${from} to ${to}, part ${part} of ${parts}`).toEqual(extremes(there));
          }
        }
      }
    }
    expect(ring.oldest).toBeGreaterThan(0);
  });

  it('looks at few numbers for a long window', () => {
    const ring = new Ring(1 << 16, [0]);
    const sample = new Float64Array(1);
    for (let k = 0; k < 1 << 17; k++) {
      sample[0] = k % 977;
      ring.push(k, sample);
    }
    const [least, most] = [new Float64Array(1), new Float64Array(1)];
    const time = (from: number, to: number) => {
      const began = performance.now();
      for (let k = 0; k < 2000; k++) ring.window(0, from, to, least, most);
      return performance.now() - began;
    };
    const [from, to] = [ring.oldest + 1, ring.count - 1];
    time(from, to);
    const [short_ms, long_ms] = [time(from, from + 200), time(from, to)];
    expect([least[0], most[0]]).toEqual([0, 976]);
    console.log(
      `a window of ${to - from} rows: ${(long_ms / 2).toFixed(1)} us, of 200 rows: ${(short_ms / 2).toFixed(1)} us`,
    );
    // 327 times the rows; the levels make it at most 15 numbers at both ends of each of four levels, so some 8 times.
    expect(long_ms).toBeLessThan(60 * short_ms);
  });

  it('refuses what cannot be', () => {
    expect(() => new Ring(0)).toThrow('0 rows in a ring');
    expect(() => new Ring(10).stopAfter(17)).toThrow('stop after 17 rows; allowed is 0 to 16');
  });
});
