/** Source: mean and scale by hand; 3.3 V / 4096 / (0.5 mohm * 20) = 0.0805664 A per count. */
import { describe, expect, it } from 'vitest';
import { CALIBRATED, CALIBRATING, CurrentSense, OFFSET_BAD, OFFSET_TICKS } from '../../src/control/current-sense.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { NOT_FITTED } from '../../src/protocol/frames.ts';
import { expectNear } from '../support/near.ts';

const PER_COUNT_A = 3.3 / 4096 / 0.01;

function calibrate(sensed: CurrentSense, ia: number, ib: number, ic: number, wobble = 0): number {
  const sense = Object.assign(blankSense(), { ia, ib, ic });
  let result = CALIBRATING;
  for (let k = 0; k < OFFSET_TICKS; k++) {
    sense.ia = ia + (k % 2 === 0 ? wobble : -wobble);
    result = sensed.calibrate(sense);
    if (k < OFFSET_TICKS - 1) expect(result).toBe(CALIBRATING);
  }
  return result;
}

describe('current sensing', () => {
  it('subtracts the mean of 128 samples from every channel', () => {
    const sensed = new CurrentSense();
    sensed.reset();
    expect(calibrate(sensed, 2060, 2040, 2048, 3)).toBe(CALIBRATED);
    sensed.measure(Object.assign(blankSense(), { ia: 2160, ib: 1990, ic: 2048 }));
    const because = 'the offset is a whole mean here, so only rounding is left';
    expectNear(sensed.phase_A[0], 100 * PER_COUNT_A, { abs: 1e-12, because });
    expectNear(sensed.phase_A[1], -50 * PER_COUNT_A, { abs: 1e-12, because });
    expectNear(sensed.phase_A[2], 0, { abs: 1e-12, because });
    expectNear(sensed.largest_A, 100 * PER_COUNT_A, { abs: 1e-12, because });
  });

  it('accepts 204 counts of offset and refuses 205, five percent of the range', () => {
    const sensed = new CurrentSense();
    sensed.reset();
    expect(calibrate(sensed, 2048, 2048 + 204, 2048)).toBe(CALIBRATED);
    sensed.reset();
    expect(calibrate(sensed, 2048, 2048, 2048 - 205)).toBe(OFFSET_BAD);
  });

  it('measures again while a current flows', () => {
    const sensed = new CurrentSense();
    sensed.reset();
    expect(calibrate(sensed, 2048, 2048, 2048, 40)).toBe(CALIBRATING);
    expect(calibrate(sensed, 2048, 2048, 2048, 0)).toBe(CALIBRATED);
  });

  it('takes the current of a shunt that is not fitted from the other two', () => {
    const sensed = new CurrentSense();
    sensed.reset();
    expect(calibrate(sensed, 2050, NOT_FITTED, 2046)).toBe(CALIBRATED);
    sensed.measure(Object.assign(blankSense(), { ia: 2050 + 30, ib: NOT_FITTED, ic: 2046 - 10 }));
    expectNear(sensed.phase_A[1], -20 * PER_COUNT_A, { abs: 1e-12, because: 'the three currents add to zero' });
  });

  it('reads the pair by the leg that carries the current on, with its sign', () => {
    const sensed = new CurrentSense();
    sensed.reset();
    calibrate(sensed, 2048, 2048, 2048);
    sensed.measure(Object.assign(blankSense(), { ia: 2048 + 500, ib: 2048, ic: 2048 - 5 }));
    expect(sensed.pair_A(0, 2)).toBe(sensed.phase_A[0]);
    sensed.measure(Object.assign(blankSense(), { ia: 2048 - 90, ib: 2048, ic: 2048 + 100 }));
    expect(sensed.pair_A(0, 2)).toBe(-sensed.phase_A[2]);
  });
});
