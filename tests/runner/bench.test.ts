import { describe, expect, it } from 'vitest';
import { DUTY_FULL, GATE_ALL, SENSE_BOOT, type Sense } from '../../src/protocol/frames.ts';
import { BENCH_BOARD, boardParams } from '../../src/sensing/board.ts';
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { acting, benchWith, sixStep } from './rig.ts';

/** Answers with all legs at the same duty: no torque, but every leg in use. */
const idle = acting((sense, drive) => {
  Object.assign(drive, { tick: sense.tick, gates: GATE_ALL, dutyA: 8192, dutyB: 8192, dutyC: 8192, state: 2, trip: 0 });
});

describe('bench', () => {
  it('reaches the same state under any slicing of time', () => {
    const hashes = [[0.05], Array(50).fill(1e-3), [0.013, 0.00001, 0.02, 0.016_99], Array(3000).fill(0.05 / 3000)].map(
      (slices: number[]) => {
        const bench = benchWith(sixStep(), 0.6);
        for (const span_s of slices) bench.advance(span_s);
        expect(bench.counters.ticks).toBe(1000);
        return bench.plant.hash();
      },
    );
    expect(new Set(hashes).size).toBe(1);
  });

  it('depends on the seed', () => {
    const [a, b] = [11, 12].map((seed) => {
      const bench = benchWith(sixStep(), 0.6, { seed });
      bench.advance(0.002);
      return bench.plant.hash();
    });
    expect(a).not.toBe(b);
  });

  it('does not ask the controller while the logic has no supply, and marks the first tick after each power-up', () => {
    const asked: Sense[] = [];
    const bench = benchWith(
      acting((sense, drive) => {
        asked.push({ ...sense });
        idle.tick(sense, drive);
      }),
    );
    bench.advance(0.01);
    expect(asked).toEqual([]);
    for (const trigger of [0.5, 0, 0.5]) {
      bench.plant.hands.set('trigger', trigger);
      bench.advance(trigger > 0 ? 0.02 : 0.8); // released long enough for the link to fall below the logic supply
    }
    const boots = asked.filter(({ flags }) => (flags & SENSE_BOOT) !== 0);
    expect(boots).toHaveLength(2);
    expect(bench.counters).toMatchObject({ boots: 2, asked: asked.length, lost: 0, late: 0 });
    expect(boots[0].tick).toBe(asked[0].tick);
  });

  it('puts a command in force one period after it was computed', () => {
    const bench = benchWith(
      acting((sense, drive) => {
        idle.tick(sense, drive);
        drive.dutyA = sense.tick;
      }),
      0.5,
    );
    bench.advance(0.01);
    bench.tickOnce();
    expect(bench.sample[SIGNAL_INDEX.dutyA]).toBe((bench.sense.tick - 1) / DUTY_FULL);
  });

  it('clamps and counts a duty above full scale', () => {
    const bench = benchWith(
      acting((sense, drive) => {
        idle.tick(sense, drive);
        drive.dutyB = 40_000;
      }),
      0.5,
    );
    bench.advance(0.01);
    expect(bench.counters.dutyClamped).toBe(bench.counters.asked);
    expect(bench.sample[SIGNAL_INDEX.dutyB]).toBe(1);
  });

  it('takes part counts as a wire would: cut off', () => {
    const bench = benchWith(
      acting((sense, drive) => {
        idle.tick(sense, drive);
        drive.dutyC = 8192.9;
      }),
      0.5,
    );
    bench.advance(0.01);
    expect(bench.sample[SIGNAL_INDEX.dutyC]).toBe(8192 / DUTY_FULL);
  });

  it('keeps the last command and counts the frame when an answer is for another tick', () => {
    const bench = benchWith(
      acting((sense, drive) => {
        idle.tick(sense, drive);
        if (sense.tick > 100) Object.assign(drive, { tick: sense.tick - 1, dutyA: 0 });
      }),
      0.5,
    );
    bench.advance(0.01);
    expect(bench.counters.late).toBe(99);
    expect(bench.sample[SIGNAL_INDEX.dutyA]).toBe(0.25);
  });

  it('opens all legs when the controller throws, keeps running and keeps the first reason', () => {
    const bench = benchWith(
      acting((sense, drive) => {
        idle.tick(sense, drive);
        if (sense.tick === 100) throw new Error('divided by zero');
      }),
      0.5,
    );
    bench.advance(0.01);
    expect(bench.controllerLost).toBe('controller failed in tick 100: Error: divided by zero');
    expect(bench.sample[SIGNAL_INDEX.gates]).toBe(0);
    expect(bench.counters.ticks).toBe(200);
    bench.loseController('later');
    expect(bench.controllerLost).toContain('divided by zero');
  });

  it('shows what the board sensed in SI, and nothing where no shunt is fitted', () => {
    const board = boardParams({ ...BENCH_BOARD, shunts: 'ab', noise_counts: 0 });
    const bench = benchWith(idle, 0.5, { board });
    bench.advance(0.02);
    const seen = (id: keyof typeof SIGNAL_INDEX) => bench.sample[SIGNAL_INDEX[id]];
    expect(bench.sense.ic).toBe(0xffff);
    expect(seen('sensedC')).toBeNaN();
    // The offset of the channel is part of what the board reads: 6 counts of 0.0806 A.
    expectNear(seen('sensedA'), 6 * 0.080_566, { abs: 0.081, because: 'one count of the current channel' });
    expectNear(seen('sensedLink'), seen('link'), { abs: 0.009, because: 'one count of the link channel is 8.86 mV' });
    expectNear(seen('sensedTrigger'), 0.5, { abs: 4e-4, because: 'one count of 3276 that span the travel' });
    expect(seen('hall')).toBeGreaterThan(0);
  });

  it('shows zeros for a board without supply', () => {
    const bench = benchWith(idle);
    bench.advance(0.001);
    for (const id of ['sensedA', 'sensedB', 'sensedC', 'sensedLink', 'sensedTrigger', 'hall', 'gates'] as const) {
      expect(bench.sample[SIGNAL_INDEX[id]]).toBe(0);
    }
  });

  it('goes on bit by bit from a snapshot', () => {
    const bench = benchWith(idle, 0.5);
    bench.advance(0.01);
    const snapshot = bench.plant.snapshot();
    bench.advance(0.005);
    const first = bench.plant.hash();
    bench.plant.restore(snapshot);
    bench.advance(0.005);
    expect(bench.plant.hash()).toBe(first);
  });
});
