/**
 * SIGNS.md against the drill: each row of its table of Halls, its signs and its order in time, as the sensors of the bench
 * give them and as its timer takes them.
 *
 * Frames  a balanced set of phase currents (cosines 120 degrees apart) and its image in alpha, beta, d, q: textbook.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { type Drive, DUTY_FULL, SENSE_HALL_SHIFT, SENSE_IN, SENSE_OUT, type Sense } from '../../src/protocol/frames.ts';
import { Bench } from '../../src/runner/bench.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { BENCH_BOARD, boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { PER_COUNT, PLAIN, ZERO } from '../sensing/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set } from '../support/rigs.ts';

const DEGREE = Math.PI / 180;
const page = readFileSync(new URL('../../src/board/SIGNS.md', import.meta.url), 'utf8');
const QUIET = boardParams({
  ...BENCH_BOARD,
  noise_counts: 0,
  jitter_s: 0,
  sampleDelay_s: 0,
  shuntOffset_counts: [0, 0, 0],
});

function sensed(plant: Plant): Sense {
  const sense = blankSense();
  new Sensors(PLAIN).sample(plant, sense, false);
  return sense;
}

/** Rows of the table of Halls: angles [deg], levels, code. */
const rows = [...page.matchAll(/^\| (-?\d+) to (\d+) deg \| (\d) \| (\d) \| (\d) \| (\d) \|$/gm)].map((row) =>
  row.slice(1).map(Number),
);

/** A locked motor at a rotor angle whose legs were driven at the given duties for some periods. */
function driven(angle_rad: number, a: number, b: number, c: number): Plant {
  const winding = { r_ohm: 0.05, ld_H: 40e-6, lq_H: 40e-6 };
  const plant = livePlant(drillWith(merge(idealSupply(18), LOCKED, linearWinding(winding))), 0.5e-6, angle_rad);
  plant.command(7, a, b, c);
  for (let k = 0; k < 5; k++) plant.runPeriod();
  return plant;
}

describe('SIGNS.md', () => {
  it('has a table of Halls that the sensors of the drill follow, up to its borders', () => {
    expect(rows.length).toBe(6);
    for (const [from, to, a, b, c, code] of rows) {
      expect(code).toBe(a + 2 * b + 4 * c);
      for (const angle of [from + 0.01, (from + to) / 2, to - 0.01]) {
        const { flags } = sensed(new Plant(BENCH_18, { seed: 1, h_s: 1e-6, rotorAngle_rad: angle * DEGREE }));
        expect((flags >> SENSE_HALL_SHIFT) & 7, `${angle} degrees`).toBe(code);
      }
    }
  });

  it('counts current into the motor upwards, and lets it come back out of the other two', () => {
    for (const [k, leg] of (['ia', 'ib', 'ic'] as const).entries()) {
      const duties = [0.4, 0.4, 0.4];
      duties[k] = 0.6;
      const plant = driven(0, duties[0], duties[1], duties[2]);
      const sense = sensed(plant);
      const counts = [sense.ia - ZERO, sense.ib - ZERO, sense.ic - ZERO];
      expect(sense[leg] - ZERO).toBeGreaterThan(10 / PER_COUNT);
      for (const other of [(k + 1) % 3, (k + 2) % 3]) {
        expectNear(counts[other], -counts[k] / 2, { abs: 2, because: 'half of a current, each rounded to one count' });
      }
    }
  });

  it('turns phase currents into d and q as the plant does', () => {
    const angle = 100 * DEGREE;
    const plant = driven(angle, 0.55, 0.42, 0.5);
    const sense = sensed(plant);
    const [a, b, c] = [sense.ia, sense.ib, sense.ic].map((count) => (count - ZERO) * PER_COUNT);
    const alpha = (2 * a - b - c) / 3;
    const beta = (b - c) / Math.sqrt(3);
    const sample = new Float64Array(Object.keys(SIGNAL_INDEX).length);
    plant.observe(sample);
    const because = 'counts of 0.01 A, three of them';
    const d = alpha * Math.cos(angle) + beta * Math.sin(angle);
    const q = -alpha * Math.sin(angle) + beta * Math.cos(angle);
    expect(Math.abs(d) + Math.abs(q)).toBeGreaterThan(5);
    expectNear(d, sample[SIGNAL_INDEX.currentD], { abs: 2 * PER_COUNT, because });
    expectNear(q, sample[SIGNAL_INDEX.currentQ], { abs: 2 * PER_COUNT, because });
    expect(Math.sign(sample[SIGNAL_INDEX.airGapTorque])).toBe(Math.sign(q));
  });

  it.each([
    ['In', 1, SENSE_IN],
    ['Out', -1, SENSE_OUT],
  ] as const)(
    'with the switch at %s the motor passes the Hall codes of its table in that order',
    (_, direction, bit) => {
      const controller = builtInFor('hall-six-step', BENCH_18, BENCH_BOARD);
      const bench = new Bench({ drill: BENCH_18, board: BENCH_BOARD, seed: 3, h_s: 1e-6, controller });
      const { hands } = bench.plant;
      hands.set('direction', direction);
      hands.set('gear', 1);
      hands.set('meets', LOADS.indexOf(direction > 0 ? 'screw' : 'nothing'));
      if (direction > 0) hands.placeNew(0.02);
      hands.set('trigger', 0.3);
      const seen: number[] = [];
      for (let k = 0; k < 4000; k++) {
        bench.tickOnce();
        const code = (bench.sense.flags >> SENSE_HALL_SHIFT) & 7;
        // At the start the gears spring back and the rotor may pass a border twice.
        if (k > 2000 && code !== seen[seen.length - 1]) seen.push(code);
      }
      expect(bench.sense.flags & (SENSE_IN | SENSE_OUT)).toBe(bit);
      const at = (id: SignalId) => bench.sample[SIGNAL_INDEX[id]];
      expect([Math.sign(at('motorSpeed')), Math.sign(at('electricalSpeed')), Math.sign(at('chuckSpeed'))]).toEqual([
        direction,
        direction,
        direction,
      ]);
      if (direction > 0) expect(at('screwDepth')).toBeGreaterThan(0.0205);
      const order = rows.map((row) => row[5]);
      expect(seen.length).toBeGreaterThan(12);
      for (let k = 1; k < seen.length; k++) {
        expect(order.indexOf(seen[k])).toBe((order.indexOf(seen[k - 1]) + direction + 6) % 6);
      }
    },
  );

  it('samples Sense k at update point k, and has Drive k in force in period k + 1', () => {
    const asked: number[] = [];
    const currents: number[] = [];
    let tick0 = 0;
    const controller: Controller = {
      hello: builtInFor('hall-six-step', BENCH_18, QUIET).hello,
      tick(sense: Sense, drive: Drive) {
        if (asked.length === 0) tick0 = sense.tick;
        const k = sense.tick - tick0;
        asked.push(k);
        currents.push((sense.ia - 2048) * currentPerCount_A(QUIET));
        const half = DUTY_FULL / 2;
        const step = k === 10 ? DUTY_FULL / 8 : 0;
        Object.assign(drive, { tick: sense.tick, gates: 7, dutyA: half + step, dutyB: half, dutyC: half });
      },
    };
    const bench = new Bench({ drill: BENCH_18, board: QUIET, seed: 3, h_s: 1e-6, controller });
    bench.plant.hands.set('gear', 1);
    bench.plant.hands.set('trigger', 0.5);
    const at = (id: SignalId) => bench.sample[SIGNAL_INDEX[id]];
    const poles: number[] = [];
    const truth: number[] = [];
    while (asked.length < 14) {
      const before = asked.length;
      bench.tickOnce();
      if (asked.length === before) continue;
      poles.push(at('poleA') - at('poleB'));
      truth.push(at('currentA')); // at the end of period k: the update point k + 1
    }
    expect(asked).toEqual(Array.from({ length: 14 }, (_, k) => k));
    const step_V = at('link') / 8;
    for (let k = 3; k < 14; k++) {
      const because = 'the dead time of 1 % of the period moves a pole by 0.2 V at most';
      expectNear(poles[k], k === 11 ? step_V : 0, { abs: 0.45, because });
      // Offsets are off, so one count and the rounding of the reference are left.
      expectNear(currents[k], truth[k - 1], { abs: currentPerCount_A(QUIET), because: 'one count of the converter' });
    }
    expect(Math.abs(currents[11])).toBeLessThan(1);
    expect(currents[12]).toBeGreaterThan(3);
  });

  it('reads nothing where a leg is high all period, and too little where its window is short', () => {
    const full = driven(0, 1, 0.7, 0.7);
    expect(sensed(full).ia - ZERO).toBe(0);
    const sample = new Float64Array(Object.keys(SIGNAL_INDEX).length);
    full.observe(sample);
    expect(sample[SIGNAL_INDEX.currentA]).toBeGreaterThan(5);
    const sense = sensed(full);
    const others = -(sense.ib + sense.ic - 2 * ZERO) * PER_COUNT;
    expectNear(others, sample[SIGNAL_INDEX.currentA], { abs: 2 * PER_COUNT, because: 'two counts of rounding' });
  });

  it('has the trigger and the link rise, and the thermistors fall with warmth', () => {
    const plant = new Plant(BENCH_18, { seed: 1, h_s: 1e-6 });
    const read = () => {
      const sense = blankSense();
      new Sensors(QUIET).sample(plant, sense, false);
      return sense;
    };
    plant.hands.set('trigger', 0);
    plant.runPeriod();
    expect(read().trigger).toBe(BENCH_BOARD.triggerLow_counts);
    plant.hands.set('trigger', 1);
    for (let k = 0; k < 4000; k++) plant.runPeriod();
    const cold = read();
    expect(cold.trigger).toBe(BENCH_BOARD.triggerHigh_counts);
    expectNear((cold.link * 3.3 * 11) / 4096, plant.read('link'), { abs: 0.01, because: 'one count is 8.9 mV' });
    set(plant, { sinkHeat: plant.read('sinkHeat') + 30, windingHeat: plant.read('windingHeat') + 30 });
    const warm = read();
    expect(warm.heatBridge).toBeLessThan(cold.heatBridge - 100);
    expect(warm.heatMotor).toBeLessThan(cold.heatMotor - 100);
  });
});
