/**
 * Thermistors, phase dividers, gyro and acceleration sensor.
 *
 * Source  ratios, a first-order filter, the star point of two legs, and m g by hand; the laws of the thermistors are in tests/verification/ntc.test.ts.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { NOT_FITTED } from '../../src/protocol/frames.ts';
import { BENCH_BOARD, type BoardParams, boardParams, phasePerCount_V } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { thermistor_ohm } from '../../src/sensing/thermistor.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set } from '../support/rigs.ts';
import { sampled } from './rig.ts';

const QUIET: BoardParams = boardParams({ ...BENCH_BOARD, noise_counts: 0, phases: true });
const half = { abs: 0.5, because: 'rounding to whole counts' };

const sample = (plant: Plant, board = QUIET) => sampled(plant, board);

describe('thermistors', () => {
  it('read the sink and the winding as shares of the reference', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0);
    set(plant, { sinkHeat: 353.15, windingHeat: 393.15 });
    const share = (heat_K: number) => thermistor_ohm(QUIET, heat_K) / (thermistor_ohm(QUIET, heat_K) + 10_000);
    expectNear(sample(plant).heatBridge, 4095 * share(353.15), half);
    expectNear(sample(plant).heatMotor, 4095 * share(393.15), half);
    const off = sample(plant, boardParams({ ...QUIET, referenceError: 0.05 }));
    expectNear(off.heatBridge, 4095 * share(353.15), half);
  });
});

describe('phase dividers', () => {
  it('follow the mean of the terminal through their filter', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0);
    const sensors = new Sensors(QUIET);
    const sense = blankSense();
    let filtered = 0;
    for (let k = 0; k < 20; k++) {
      plant.command(7, 0.5, 0.25, 0.25);
      plant.runPeriod();
      sensors.sample(plant, sense, false);
      filtered += (plant.read('meanA') - filtered) * (1 - Math.exp(-plant.period_s / QUIET.phaseFilter_s));
      expectNear(sense.phaseA, filtered / phasePerCount_V(QUIET), half);
    }
    expect(filtered).toBeGreaterThan(5);
    expect(sense.phaseB).toBeLessThan(sense.phaseA);
  });
});

describe('phase dividers of a leg that is off', () => {
  it('show the star point between the other two', () => {
    // Gates of A and B only, nothing turns, all phases alike: terminal C floats at the star point, the mean of A and B.
    const winding = linearWinding({ magnet_Wb: 1e-9, ld_H: 40e-6, lq_H: 40e-6 });
    const plant = livePlant(drillWith(merge(idealSupply(18), LOCKED, winding)), 1e-6, 0);
    const sensors = new Sensors(boardParams({ ...QUIET, phaseFilter_s: 0 }));
    const sense = blankSense();
    plant.command(3, 0.6, 0.2, 0);
    for (let k = 0; k < 4; k++) plant.runPeriod();
    sensors.sample(plant, sense, false);
    const counts = (v_V: number) => v_V / phasePerCount_V(QUIET);
    expectNear(sense.phaseA, counts(0.6 * 18), half);
    expectNear(sense.phaseB, counts(0.2 * 18), half);
    expectNear(sense.phaseC, counts(0.4 * 18), half);
  });
});

describe('motion of the housing', () => {
  it('turns against the motor when it runs up, and the sensors agree', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0);
    plant.hands.set('wrist', 1);
    const board = boardParams({ ...QUIET, bits: 15, gyroPerCount_rad_s: 1e-4, accelPerCount_m_s2: 1e-3 });
    const zero = 2 ** 14;
    let sum_rad_s = 0;
    const from = sample(plant, board);
    // Without Halls: a field that turns slowly enough to be followed.
    for (let k = 0; k < 200; k++) {
      const angle = (2 * Math.PI * k) / 400;
      const duty = (phase: number) => 0.5 + 0.08 * Math.cos(angle - (2 * Math.PI * phase) / 3);
      plant.command(7, duty(0), duty(1), duty(2));
      plant.runPeriod();
      const lean = 9.80665 * Math.sin(plant.read('bodyAngle'));
      sum_rad_s += (((sample(plant, board).accel - zero) * 1e-3 - lean) / 0.04) * plant.period_s;
    }
    const turned = (sample(plant, board).gyro - from.gyro) * 1e-4;
    expect(plant.read('rotorSpeed')).toBeGreaterThan(1);
    expect(turned).toBeLessThan(-0.01);
    const because = '200 roundings of half an acceleration count, 1.3e-6 rad/s each, and one of the gyro';
    expectNear(sum_rad_s, turned, { abs: 200 * 0.5 * (1e-3 / 0.04) * 50e-6 + 1e-4, because });
  });

  it('is read as rate and as tangential acceleration with gravity', () => {
    const plant = livePlant(drillWith({}), 1e-6, 0);
    plant.hands.set('wrist', 1);
    set(plant, { bodySpeed: 2, bodyAccel: 100, bodyAngle: 0.3 });
    const sense = sample(plant);
    expectNear(sense.gyro - 2048, 2 / 0.0085, half);
    expectNear(sense.accel - 2048, (0.04 * 100 + 9.80665 * Math.sin(0.3)) / 0.0383, half);
  });

  it('clips at the ends of the converter', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0);
    plant.hands.set('wrist', 1);
    set(plant, { bodySpeed: 40, bodyAccel: -1e5 });
    expect(sample(plant).gyro).toBe(4095);
    expect(sample(plant).accel).toBe(0);
  });
});

describe('what is not fitted', () => {
  it('reads 0xFFFF', () => {
    const bare = boardParams({ ...QUIET, thermistors: false, phases: false, motion: false });
    const { heatBridge, heatMotor, phaseA, phaseB, phaseC, gyro, accel } = sample(livePlant(BENCH_18, 1e-6, 0), bare);
    for (const value of [heatBridge, heatMotor, phaseA, phaseB, phaseC, gyro, accel]) expect(value).toBe(NOT_FITTED);
  });
});
