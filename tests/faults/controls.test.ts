/**
 * Faults of trigger and direction switch, each by what the board reads, and by what the Hall controller of the bench makes of it
 * where a demand on a tool stands beside it.
 *
 * Source  readings of a divider on the reference: Ohm. No motion, or a stop within 200 ms, for any single fault of the trigger:
 *         common practice, from memory; open and short of any terminal: IEC 62841-1 18.6.1 (unofficial excerpt read).
 */
import { describe, expect, it } from 'vitest';
import { SENSE_IN, SENSE_OUT, STATE_RUNNING } from '../../src/protocol/frames.ts';
import type { Bench } from '../../src/runner/bench.ts';
import { WORN_AT } from '../../src/sensing/switches.ts';
import { benchWith, sixStep } from '../runner/rig.ts';
import { expectNear } from '../support/near.ts';
import { marked, run, seen } from './mishap-rig.ts';
import { deviation, mean, put } from './rig.ts';

const LOW = 410;
const HIGH = 3686;
/** Counts of noise of the bench board, bounded: 3.47 deviations of 1.5. */
const NOISE = { abs: 6, because: 'noise of the board is bounded by 3.47 deviations of 1.5 counts; rounding' };

/** The Hall controller, driving at 90 % of the travel. */
function driving(): Bench {
  const bench = benchWith(sixStep(), 0.4);
  bench.advance(0.05);
  bench.plant.hands.set('trigger', 0.9);
  bench.advance(0.25);
  expect(seen(bench, 'controllerState')).toBe(STATE_RUNNING);
  return bench;
}

/** Trigger readings over `ticks`. */
const readings = (bench: Bench, ticks: number): number[] => run(bench, ticks).map(({ pins }) => pins.trigger);

describe('trigger wiper', () => {
  it.each([
    ['wiper-open', 0, 0],
    ['wiper-open-up', 4095, 4095],
    ['wiper-short-released', LOW, LOW],
    ['wiper-short-pulled', HIGH, HIGH],
  ])('%s reads the same at any travel', (fault, counts) => {
    const { bench } = marked();
    for (const travel of [0.3, 1]) {
      bench.plant.hands.set('trigger', travel);
      for (const read of readings(bench, 50)) expectNear(read, LOW + (HIGH - LOW) * travel, NOISE);
    }
    put(bench.plant, { fault });
    for (const travel of [0.3, 1]) {
      bench.plant.hands.set('trigger', travel);
      for (const read of readings(bench, 50)) expectNear(read, counts, NOISE);
    }
  });

  it.each(['wiper-open', 'wiper-open-up', 'wiper-short-released'])('%s: the drive lets go', (fault) => {
    const bench = driving();
    put(bench.plant, { fault });
    bench.advance(0.01);
    expect(seen(bench, 'controllerState')).not.toBe(STATE_RUNNING);
  });

  it('shorted to the pulled end: only the contact stops the drive', () => {
    const bench = driving();
    put(bench.plant, { fault: 'wiper-short-pulled' });
    bench.plant.hands.set('trigger', 0);
    bench.tickOnce();
    expectNear(bench.sense.trigger, HIGH, NOISE);
    // No energy comes any more: what link and rotor have stored is used up, and with it the supply of the board.
    bench.tickOnce();
    for (let k = 0; k < 8000; k++) {
      bench.tickOnce();
      expect(seen(bench, 'packCurrent')).toBe(0);
    }
    expect(bench.plant.powered).toBe(false);
    expect(seen(bench, 'gates')).toBe(0);
  });
});

describe('noisy wiper', () => {
  it('scatters about the travel by the deviation that was asked for', () => {
    const { bench } = marked();
    const share = 0.03;
    put(bench.plant, { fault: 'wiper-noisy', size: share });
    const read = readings(bench, 8000);
    const expected = share * (HIGH - LOW) + 1.5;
    const because = 'five standard errors of a deviation from 8000 draws';
    expectNear(deviation(read), expected, { abs: (5 * expected) / Math.sqrt(2 * 8000), because });
    const error = { abs: (5 * expected) / Math.sqrt(8000), because: 'five standard errors of the mean' };
    expectNear(mean(read), LOW + 0.5 * (HIGH - LOW), error);
  });
});

describe('worn spot', () => {
  it('drops to 0 for some milliseconds within its band, and never outside', () => {
    const { bench } = marked();
    put(bench.plant, { fault: 'wiper-worn', size: 0.1 });
    for (const travel of [WORN_AT - 0.06, WORN_AT + 0.06]) {
      bench.plant.hands.set('trigger', travel);
      for (const read of readings(bench, 2000)) expectNear(read, LOW + (HIGH - LOW) * travel, NOISE);
    }
    bench.plant.hands.set('trigger', WORN_AT + 0.04);
    const off = readings(bench, 40_000).map((read) => read < LOW / 2);
    const drops: number[] = [];
    off.forEach((lifted, k) => {
      if (lifted && !off[k - 1]) drops.push(0);
      if (lifted) drops[drops.length - 1] += 50e-6;
    });
    // It touches for 5 ms and is lifted for 2 ms on the mean.
    const rounds = 2 / 7e-3;
    const because = 'five deviations of a count of rounds, each of which scatters by 5 of its 7 ms';
    expectNear(drops.length, rounds, { abs: 5 * Math.sqrt(rounds) * (5 / 7), because });
    expect(Math.min(...drops.slice(0, -1))).toBeGreaterThan(0.4e-3);
  });
});

describe('direction switch', () => {
  const levels = (bench: Bench, ticks: number): number[] =>
    run(bench, ticks).map(({ pins }) => pins.flags & (SENSE_IN | SENSE_OUT));

  it('bounces between its new contact and none for its time, then rests', () => {
    const { bench } = marked();
    put(bench.plant, { fault: 'direction-bounce', size: 5e-3 });
    run(bench, 200);
    bench.plant.hands.set('direction', -1);
    const read = levels(bench, 200);
    const bouncing = read.slice(0, 100);
    expect(new Set(bouncing)).toEqual(new Set([0, SENSE_OUT]));
    const closed = bouncing.filter((level) => level === SENSE_OUT).length / 100;
    expectNear(closed, 0.5, { abs: 0.25, because: 'five deviations of half of 100 draws' });
    expect(new Set(read.slice(101))).toEqual(new Set([SENSE_OUT]));
  });

  it.each([
    ['direction-flip', SENSE_OUT],
    ['direction-open', 0],
    ['direction-both', SENSE_IN | SENSE_OUT],
  ])('%s', (fault, level) => {
    const { bench } = marked();
    expect(new Set(levels(bench, 20))).toEqual(new Set([SENSE_IN]));
    put(bench.plant, { fault });
    expect(new Set(levels(bench, 20))).toEqual(new Set([level]));
  });

  it('flips at speed: the Hall controller does not plug the motor, and the link keeps below its switches', () => {
    const bench = driving();
    const fast = seen(bench, 'motorSpeed');
    expect(fast).toBeGreaterThan(500);
    put(bench.plant, { fault: 'direction-flip' });
    let most = 0;
    for (let k = 0; k < 400; k++) {
      bench.tickOnce();
      most = Math.max(most, seen(bench, 'link'));
    }
    expect(seen(bench, 'motorSpeed')).toBeGreaterThan(0.5 * fast);
    // 40 V is where the switches of this drill avalanche.
    expect(most).toBeLessThan(30);
  });
});

describe('trigger contact welded', () => {
  const released = (fault: boolean): Bench => {
    const bench = benchWith(sixStep(), 0.4);
    bench.advance(0.2);
    if (fault) put(bench.plant, { fault: 'contact-welded' });
    bench.plant.hands.set('trigger', 0);
    bench.advance(1);
    return bench;
  };

  it('keeps link and logic supplied after the release; the wiper alone stops the drive', () => {
    expect(released(false).plant.powered).toBe(false);
    const bench = released(true);
    expect(bench.plant.powered).toBe(true);
    const logic = 'the pack feeds 30 mA of logic through some 60 mohm';
    expectNear(seen(bench, 'link'), seen(bench, 'packOcv'), { abs: 0.05, because: logic });
    expect(seen(bench, 'controllerState')).not.toBe(STATE_RUNNING);
    expectNear(seen(bench, 'motorSpeed'), 0, { abs: 1, because: 'it has come to rest' });
  });
});
