/**
 * Converter counts: scale, rounding, clipping, what is not fitted.
 *
 * Source  0.5 mohm, gain 20, 3.3 V, 12 bits: 0.080566 A a count, by hand; 10 k-style dividers: common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { NOT_FITTED, SENSE_BOOT, SENSE_IN, SENSE_OUT } from '../../src/protocol/frames.ts';
import {
  BENCH_BOARD,
  boardParams,
  currentPerCount_A,
  currentZero_counts,
  linkPerCount_V,
} from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { PLAIN_BOARD } from '../support/plain-board.ts';
import { livePlant, set } from '../support/rigs.ts';

/** A plant with all low sides on and the given phase A current. */
function lowSides(iAlpha_A: number): ReturnType<typeof livePlant> {
  const plant = livePlant(BENCH_18, 1e-6, 0);
  for (let k = 0; k < 2; k++) {
    plant.command(7, 0, 0, 0);
    plant.runPeriod();
  }
  set(plant, { iAlpha: iAlpha_A, iBeta: 0 });
  return plant;
}

describe('sensors', () => {
  it('scale the shunts as the sheet of the board says', () => {
    expectNear(currentPerCount_A(PLAIN_BOARD), 0.080566, { abs: 5e-7, because: 'six printed decimals' });
    const sense = blankSense();
    new Sensors(PLAIN_BOARD).sample(lowSides(40), sense, false);
    const half = { abs: 0.5, because: 'rounding to whole counts' };
    expectNear(sense.ia - currentZero_counts(PLAIN_BOARD), 40 / 0.0805664, half);
    expectNear(sense.ib - currentZero_counts(PLAIN_BOARD), -20 / 0.0805664, half);
    expectNear(sense.ic - currentZero_counts(PLAIN_BOARD), -20 / 0.0805664, half);
  });

  it('clip at the ends of the converter', () => {
    const sense = blankSense();
    new Sensors(PLAIN_BOARD).sample(lowSides(400), sense, false);
    expect(sense.ia).toBe(4095);
    new Sensors(PLAIN_BOARD).sample(lowSides(-400), sense, false);
    expect(sense.ia).toBe(0);
  });

  it('read the link and the trigger', () => {
    const plant = lowSides(0);
    plant.hands.set('trigger', 0.25);
    const sense = blankSense();
    new Sensors(PLAIN_BOARD).sample(plant, sense, false);
    const half = { abs: 0.5, because: 'rounding to whole counts' };
    expectNear(sense.link, plant.read('link') / linkPerCount_V(PLAIN_BOARD), half);
    expectNear(sense.trigger, 410 + 0.25 * (3686 - 410), half);
  });

  it('hold link and phase voltages against a reference that may be wrong', () => {
    const plant = lowSides(0);
    for (let k = 0; k < 4; k++) {
      plant.command(7, 0.5, 0.5, 0.5);
      plant.runPeriod();
    }
    const read = (referenceError: number) => {
      const sense = blankSense();
      const board = { ...PLAIN_BOARD, bits: 15, phases: true, phaseFilter_s: 0, referenceError };
      new Sensors(boardParams(board)).sample(plant, sense, false);
      return sense;
    };
    const why = { abs: 1, because: 'rounding of both readings' };
    expectNear(read(0.05).link, read(0).link / 1.05, why);
    expectNear(read(-0.05).phaseA, read(0).phaseA / 0.95, why);
    expect(read(0).phaseA).toBeGreaterThan(1000);
  });

  it('read zero, not nonsense, when the link has gone', () => {
    const plant = lowSides(0);
    set(plant, { link: 0 });
    const sense = blankSense();
    new Sensors(PLAIN_BOARD).sample(plant, sense, false);
    expect([sense.ia, sense.ib, sense.ic, sense.link]).toEqual([2048, 2048, 2048, 0]);
  });

  it('give 0xFFFF for a shunt that is not fitted', () => {
    const sense = blankSense();
    new Sensors(boardParams({ ...PLAIN_BOARD, shunts: 'ac' })).sample(lowSides(0), sense, false);
    expect([sense.ia, sense.ib, sense.ic]).toEqual([2048, NOT_FITTED, 2048]);
  });

  it('add offset and noise from the seed of the plant', () => {
    const plant = lowSides(0);
    const sensors = new Sensors(boardParams({ ...BENCH_BOARD, shuntDrift_counts_K: 0 }));
    const sense = blankSense();
    const n = 4000;
    const sums = [0, 0, 0];
    for (let k = 0; k < n; k++) {
      sensors.sample(plant, sense, false);
      [sense.ia, sense.ib, sense.ic].forEach((v, leg) => {
        sums[leg] += v - 2048;
      });
    }
    BENCH_BOARD.shuntOffset_counts.forEach((offset, leg) => {
      const abs = (4 * Math.hypot(BENCH_BOARD.noise_counts, 0.29)) / Math.sqrt(n);
      expectNear(sums[leg] / n, offset, { abs, because: 'four standard errors of the mean, rounding included' });
    });
  });

  it('mark the first tick after power-up and the direction', () => {
    const plant = lowSides(0);
    const sense = blankSense();
    const sensors = new Sensors(PLAIN_BOARD);
    sensors.sample(plant, sense, true);
    expect(sense.flags & (SENSE_BOOT | SENSE_IN | SENSE_OUT)).toBe(SENSE_BOOT | SENSE_IN);
    plant.hands.set('direction', -1);
    sensors.sample(plant, sense, false);
    expect(sense.flags & (SENSE_BOOT | SENSE_IN | SENSE_OUT)).toBe(SENSE_OUT);
    plant.hands.set('direction', 0);
    sensors.sample(plant, sense, false);
    expect(sense.flags & (SENSE_BOOT | SENSE_IN | SENSE_OUT)).toBe(0);
  });

  it('stamp a Hall edge to 10 ns', () => {
    const plant = livePlant(BENCH_18, 1e-6, (29 * Math.PI) / 180);
    const we = 2000;
    set(plant, { rotorSpeed: we / 4, chuckSpeed: we / 4 / 14 });
    for (let k = 0; k < 1; k++) plant.runPeriod();
    // Hall B turns on at 30 electrical degrees, so one degree after the start: pi/180/we.
    const sense = blankSense();
    new Sensors(PLAIN_BOARD).sample(plant, sense, false);
    const expected = (plant.time_s - Math.PI / 180 / we) / 1e-8;
    // The coasting rotor loses 0.006 N·m / 3.3e-6 kg·m2 * 50 us = 0.1 rad/s of 500.
    expectNear(sense.hallAge, expected, { abs: 1.5, because: 'floor to whole counts, and 0.02 % of speed lost' });
  });

  it('refuse a board that cannot be', () => {
    expect(() => boardParams({ ...PLAIN_BOARD, bits: 30 })).toThrow('board.bits is 30; allowed is 8 to 15');
    expect(() => boardParams({ ...PLAIN_BOARD, triggerHigh_counts: 100 })).toThrow('board.triggerHigh_counts');
  });
});
