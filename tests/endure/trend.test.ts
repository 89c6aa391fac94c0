/**
 * Source (values)  slope and interval by hand for y = 0, 1, 1, 2 at x = 0 .. 3: mean 1, slope 3/5, rest of squares 0.2,
 *                  standard error sqrt(0.1/5), t at 2 degrees of freedom 4.303 (any table of Student's t, from memory).
 */
import { describe, expect, it } from 'vitest';
import { expectNear } from '../support/near.ts';
import { growthOf, quantile, trendOf } from './trend.ts';

describe('a trend', () => {
  it('has the slope and the interval that one gets by hand', () => {
    const { slope, half } = trendOf([
      [0, 0],
      [1, 1],
      [2, 1],
      [3, 2],
    ]);
    expectNear(slope, 0.6, { abs: 1e-12, because: 'four sums of small whole numbers' });
    expectNear(half, 4.303 * Math.sqrt(0.1 / 5), { abs: 1e-12, because: 'the same numbers in another order' });
  });

  it('is sure of a straight line, and of nothing with two points', () => {
    const straight = [0, 1, 2, 3, 4].map((x) => [x, 7 * x] as const);
    expectNear(trendOf(straight).half, 0, { abs: 1e-9, because: 'nothing is left over; rounding alone' });
    expect(trendOf(straight.slice(0, 2)).half).toBe(Number.POSITIVE_INFINITY);
    expect(() => trendOf([[1, 1]])).toThrow(/two different places at least, not 1/);
  });

  it('grows, is flat, or is not shown against a limit', () => {
    expect(growthOf({ slope: 5, half: 1, points: 9 }, 2)).toBe('grows');
    expect(growthOf({ slope: 0.5, half: 1, points: 9 }, 2)).toBe('flat');
    expect(growthOf({ slope: 1.5, half: 1, points: 9 }, 2)).toBe('not shown');
  });

  it('is not all: a quantile is one of the values, and none of no values', () => {
    expect(quantile([1, 2, 3, 4], 0.95)).toBe(4);
    expect(quantile([], 0.5)).toBeNaN();
  });
});
