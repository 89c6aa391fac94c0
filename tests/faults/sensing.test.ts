/**
 * Faults of sampling, link reading, thermistors, Halls and gyro, each by what the board reads of the real drill.
 *
 * Source  di/dt = v/L; a first-order lag reaches 63.2 % of a step after one time constant; a thermistor that is open or short is
 *         found by its range: docs.soda.auto, NTC driver specification. Codes 000 and 111 and a missing edge for a stuck Hall:
 *         electronics.stackexchange.com/questions/275093, mdpi.com/1424-8220/23/9/4330. Unequal sector times for a
 *         misplaced one: help text of a maker of motor drives, name left out. Table of the six codes: derived.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { slot } from '../../src/plant/slots.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { HALL_AGE_COUNT_S, SENSE_HALL_SHIFT } from '../../src/protocol/frames.ts';
import { linkPerCount_V } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { thermistorCounts } from '../../src/sensing/thermistor.ts';
import { PER_COUNT, PLAIN, sampled } from '../sensing/rig.ts';
import { expectNear } from '../support/near.ts';
import { livePlant, set } from '../support/rigs.ts';
import { marked, run } from './mishap-rig.ts';
import { deviation, duties, type Fault, FLUX_WB, ideal, L_H, PERIOD_S, put, R_OHM, WE } from './rig.ts';

describe('currents sampled late', () => {
  /** A rotor that turns with all low sides on: the EMF alone drives the current. */
  const sloping = (): Plant => {
    const plant = ideal({}, {}, 20 * WE);
    plant.command(7, 0, 0, 0);
    set(plant, { gates: 7 });
    return plant;
  };

  it.each([1e-6, 3e-6])('by %f s: off by slope times delay, and as the plant is then', (size) => {
    const plant = sloping();
    const now = sampled(plant);
    put(plant, { fault: 'sample-late', size });
    const late = sampled(plant);
    // At angle 0 the EMF stands on beta: phases B and C carry it, in opposite ways.
    const slope_A_s = (Math.sqrt(3) / 2) * ((20 * WE * FLUX_WB) / L_H);
    const counts = { abs: 1.5, because: 'rounding of two readings; the EMF turns by 0.03 rad in 3 us' };
    expectNear(now.ib - late.ib, (slope_A_s * size) / PER_COUNT, counts);
    expectNear(late.ic - now.ic, (slope_A_s * size) / PER_COUNT, counts);
    expectNear(late.ia, now.ia, { abs: 6, because: 'the EMF turns towards alpha by 0.03 rad within 3 us' });
    plant.damage.set('sampleLate', 0);
    for (let k = 0; k < Math.round(size * 1e6); k++) plant.step();
    const there = sampled(plant);
    expectNear(late.ib, there.ib, { abs: 6, because: 'a straight slope for a sine that turns by 0.03 rad' });
  });

  it('jitters: noise of slope times deviation', () => {
    const speed = 5 * WE;
    const plant = ideal({}, {}, speed);
    plant.command(7, 0, 0, 0);
    set(plant, { gates: 7 });
    // The low sides are on before and after the moment.
    for (let k = 0; k < 4; k++) plant.runPeriod();
    const size = 0.5e-6;
    put(plant, { fault: 'sample-jitter', size });
    const sensors = new Sensors(PLAIN);
    const sense = blankSense();
    const n = 4000;
    const read = Array.from({ length: n }, () => {
      sensors.sample(plant, sense, false);
      return sense.ib;
    });
    // L di/dt = -e - R i of phase B.
    const [cos, sin] = [plant.read('cos'), plant.read('sin')];
    const emf_V = speed * FLUX_WB * (0.5 * sin + (Math.sqrt(3) / 2) * cos);
    const i_A = -0.5 * plant.read('iAlpha') + (Math.sqrt(3) / 2) * plant.read('iBeta');
    const slope_A_s = Math.abs(emf_V + R_OHM * i_A) / L_H;
    const expected = (slope_A_s * size) / PER_COUNT;
    expectNear(deviation(read), Math.hypot(expected, Math.sqrt(1 / 12)), {
      abs: (5 * expected) / Math.sqrt(2 * n),
      because: 'five standard errors of a deviation from 4000 draws; rounding is 1/12 of a square count',
    });
  });
});

describe('link reading', () => {
  const counts_V = linkPerCount_V(PLAIN);
  it.each([
    [{ fault: 'link-gain', size: -0.2 }, (v: number) => 0.8 * v],
    [{ fault: 'link-offset', size: -4 }, (v: number) => v - 4],
    [{ fault: 'reference-error', size: 0.05 }, (v: number) => v / 1.05],
  ] as const)('%o', (fault, expected) => {
    for (const volts of [12, 18, 20]) {
      const plant = livePlant(BENCH_18, 1e-6);
      set(plant, { link: volts });
      put(plant, fault);
      const because = 'rounding to a count';
      expectNear(sampled(plant).link * counts_V, expected(volts), { abs: counts_V, because });
    }
  });

  it('frozen: it does not follow, until the fault is gone', () => {
    const { bench } = marked();
    const before = run(bench, 20).map(({ pins }) => pins.link);
    expect(new Set(before).size).toBeGreaterThan(1);
    put(bench.plant, { fault: 'link-frozen' });
    const [first] = run(bench, 1);
    bench.plant.state[slot('capacitor')] = 12;
    const frozen = run(bench, 100).map(({ pins }) => pins.link);
    expect(new Set(frozen)).toEqual(new Set([first.pins.link]));
    bench.plant.damage.set('stuckLink', 0);
    bench.plant.damage.set('packOff', 1);
    bench.plant.state[slot('capacitor')] = 12;
    const [, after] = run(bench, 2);
    // 7 counts are the most that noise makes of two readings.
    expect(after.pins.link).toBeLessThan(first.pins.link - 50);
  });

  it('and the rest: a wrong reference leaves trigger and thermistors, which are ratios of it', () => {
    const plant = livePlant(BENCH_18, 1e-6);
    const whole = sampled(plant);
    put(plant, { fault: 'reference-error', size: 0.1 });
    const wrong = sampled(plant);
    expect([wrong.trigger, wrong.heatBridge, wrong.heatMotor]).toEqual([
      whole.trigger,
      whole.heatBridge,
      whole.heatMotor,
    ]);
    expect(wrong.link).toBeLessThan(whole.link);
  });
});

describe.each([
  ['bridge', 'heatBridge', 'sinkHeat'],
  ['motor', 'heatMotor', 'windingHeat'],
] as const)('thermistor, %s', (what, field, place) => {
  const HOT_K = 273.15 + 110;
  const AIR_K = 273.15 + 15;
  const hot = (): Plant => {
    const plant = livePlant(BENCH_18, 1e-6);
    plant.hands.set('ambient', AIR_K);
    set(plant, { [place]: HOT_K });
    return plant;
  };
  const count = { abs: 1, because: 'rounding to a count' };

  it('open reads full scale, short reads 0, both beyond what any temperature gives', () => {
    for (const [kind, counts] of [
      ['open', 2 ** 15 - 1],
      ['short', 0],
    ] as const) {
      const plant = hot();
      put(plant, { fault: `${what}-thermistor-${kind}` });
      expect(sampled(plant)[field]).toBe(counts);
    }
    const sound = [233.15, 473.15].map((heat_K) => thermistorCounts(PLAIN, heat_K));
    expect(sound[0]).toBeLessThan(2 ** 15 - 200);
    expect(sound[1]).toBeGreaterThan(200);
  });

  it('detached reads the air, however hot its place is', () => {
    const plant = hot();
    expectNear(sampled(plant)[field], thermistorCounts(PLAIN, HOT_K), count);
    put(plant, { fault: `${what}-thermistor-off` });
    expectNear(sampled(plant)[field], thermistorCounts(PLAIN, AIR_K), count);
  });

  it('slow reaches 63.2 % of a step after its time constant', () => {
    const plant = hot();
    const sensors = new Sensors(PLAIN);
    const sense = blankSense();
    const tau_s = 0.05;
    put(plant, { fault: `${what}-thermistor-slow`, size: tau_s });
    set(plant, { [place]: AIR_K });
    sensors.sample(plant, sense, false);
    const ticks = Math.round(tau_s / plant.period_s);
    for (let k = 0; k < ticks; k++) {
      set(plant, { [place]: HOT_K });
      plant.runPeriod();
      set(plant, { [place]: HOT_K });
      sensors.sample(plant, sense, false);
    }
    const felt_K = AIR_K + (HOT_K - AIR_K) * (1 - Math.exp(-1));
    expectNear(sense[field], thermistorCounts(PLAIN, felt_K), count);
  });
});

describe('Halls', () => {
  /** Codes and capture stamps of a rotor at even speed, some electrical turns; every read as the board reads. */
  function turned(faults: readonly Fault[], turns = 6): { codes: number[]; edges_s: number[] } {
    const plant = ideal();
    put(plant, ...faults);
    plant.command(7, ...duties(0, 0));
    set(plant, { hallSensors: plant.read('hall') });
    const codes: number[] = [];
    const edges_s: number[] = [];
    for (let k = 0; k < turns * 256; k++) {
      plant.runPeriod();
      const sense = sampled(plant);
      const code = (sense.flags >> SENSE_HALL_SHIFT) & 7;
      if (codes.length > 0 && code === codes[codes.length - 1]) continue;
      codes.push(code);
      edges_s.push(plant.time_s - sense.hallAge * HALL_AGE_COUNT_S);
    }
    // What was before the first turn is start-up.
    return { codes: codes.slice(2), edges_s: edges_s.slice(2) };
  }
  const SECTOR_S = (2 * Math.PI) / 6 / WE;
  /** Order of the codes of a rotor that turns forward: each Hall sees half a turn, 120 degrees apart. */
  const FORWARD = [1, 3, 2, 6, 4, 5];
  const next = (code: number, way: number): number => FORWARD[(FORWARD.indexOf(code) + 6 + way) % 6];

  it('whole: six codes in their order, at even times', () => {
    const { codes, edges_s } = turned([]);
    for (let k = 1; k < codes.length; k++) {
      expect(codes[k]).toBe(next(codes[k - 1], 1));
      const because = 'stamps of 10 ns';
      expectNear(edges_s[k] - edges_s[k - 1], SECTOR_S, { abs: 2 * HALL_AGE_COUNT_S, because });
    }
  });

  it.each([
    ['hall-low', 0],
    ['hall-high', 7],
  ] as const)('%s: code %i, two edges of six missing', (fault, invalid) => {
    for (const leg of ['a', 'b', 'c'] as const) {
      const { codes, edges_s } = turned([{ fault, leg }]);
      const bit = 1 << 'abc'.indexOf(leg);
      const expected = new Set(FORWARD.map((code) => (fault === 'hall-low' ? code & ~bit : code | bit)));
      expect(new Set(codes)).toEqual(expected);
      expect(expected.has(invalid)).toBe(true);
      const sectors = edges_s.slice(1).map((at, k) => Math.round((at - edges_s[k]) / SECTOR_S));
      expect(sectors.slice(0, 4).reduce((sum, n) => sum + n, 0)).toBe(6);
      expect([...sectors.slice(0, 4)].sort()).toEqual([1, 1, 2, 2]);
    }
  });

  it.each(['halls-ab-swapped', 'halls-bc-swapped', 'halls-ac-swapped'])(
    '%s: the order of the other direction',
    (fault) => {
      const { codes } = turned([{ fault }]);
      for (let k = 1; k < codes.length; k++) expect(codes[k]).toBe(next(codes[k - 1], -1));
    },
  );

  it.each([
    ['a', 10],
    ['b', -15],
    ['c', 5],
  ] as const)('%s misplaced by %i degrees: sectors unequal by the shift', (leg, degrees) => {
    const size = (degrees * Math.PI) / 180;
    const { codes, edges_s } = turned([{ fault: 'hall-misplaced', leg, size }]);
    const bit = 1 << 'abc'.indexOf(leg);
    const because = 'stamps of 10 ns';
    for (let k = 1; k < codes.length - 1; k++) {
      const before = edges_s[k] - edges_s[k - 1];
      const own = ((codes[k] ^ codes[k - 1]) & bit) !== 0;
      const after = ((codes[k - 1] ^ codes[k - 2]) & bit) !== 0 && k > 1;
      if (k < 2) continue;
      const shift = own ? size : after ? -size : 0;
      expectNear(before, SECTOR_S + shift / WE, { abs: 2 * HALL_AGE_COUNT_S, because });
    }
  });

  it('glitching: the opposite level in its share of the updates, with an edge within the last one', () => {
    const share = 0.02;
    const plant = ideal();
    put(plant, { fault: 'hall-glitch', leg: 'b', size: share });
    plant.command(7, ...duties(0, 0));
    set(plant, {});
    const n = 20_000;
    let wrong = 0;
    for (let k = 0; k < n; k++) {
      plant.runPeriod();
      const sense = sampled(plant);
      const code = (sense.flags >> SENSE_HALL_SHIFT) & 7;
      const glitch = code ^ plant.read('hallSensors');
      if (glitch === 0) continue;
      expect(glitch).toBe(2);
      wrong++;
      // Two in a row make no edge.
      if (sense.hallAge * HALL_AGE_COUNT_S > PERIOD_S) expect(wrong).toBeGreaterThan(1);
    }
    const because = `five deviations of a share of ${n} draws`;
    expectNear(wrong / n, share, { abs: 5 * Math.sqrt((share * (1 - share)) / n), because });
  });
});

describe('gyro frozen', () => {
  it('does not move while the body turns', () => {
    const plant = livePlant(BENCH_18, 1e-6);
    plant.hands.set('wrist', 1);
    const sensors = new Sensors(PLAIN);
    const sense = blankSense();
    const read = (rate: number): number => {
      set(plant, { bodySpeed: rate });
      sensors.sample(plant, sense, false);
      return sense.gyro;
    };
    const still = read(0);
    expectNear(read(5) - still, 5 / PLAIN.gyroPerCount_rad_s, { abs: 1, because: 'rounding to a count' });
    put(plant, { fault: 'gyro-stuck' });
    const frozen = read(0);
    for (const rate of [1, -3, 10]) expect(read(rate)).toBe(frozen);
    plant.damage.set('stuckGyro', 0);
    expect(read(5)).not.toBe(frozen);
  });
});
