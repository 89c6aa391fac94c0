/**
 * Least squares against closed forms. Source: simple linear regression, slope = Sxy/Sxx, variance of the slope =
 * rest^2/Sxx; any textbook of statistics, from memory.
 */
import { describe, expect, it } from 'vitest';
import { LeastSquares } from '../../src/control/commission/least-squares.ts';
import { expectNear } from '../support/near.ts';

const because = 'four points with small whole numbers: only rounding is left';

describe('least squares', () => {
  it('fits a line with its rest and the deviation of its slope', () => {
    // x 0..3, y 1 3 4 4: mean 1.5 and 3, Sxx 5, Sxy 5; left over are -0.5 0.5 0.5 -0.5.
    const fit = new LeastSquares(2);
    [1, 3, 4, 4].forEach((y, x) => {
      fit.add(Float64Array.of(1, x), y);
    });
    expect(fit.solve()).toBe(true);
    expectNear(fit.solution[1], 1, { abs: 1e-12, because });
    expectNear(fit.solution[0], 1.5, { abs: 1e-12, because });
    expectNear(fit.rest, Math.sqrt(1 / 2), {
      abs: 1e-7,
      because: 'the rest is a difference of squares: the root of rounding',
    });
    expectNear(fit.deviation(1), Math.sqrt(0.5 / 5), { abs: 1e-7, because: 'as the rest' });
  });

  it('says when an unknown follows from the others', () => {
    const fit = new LeastSquares(2);
    for (let x = 0; x < 4; x++) fit.add(Float64Array.of(x, 2 * x), x);
    expect(fit.solve()).toBe(false);
  });

  it('forgets its rows on reset', () => {
    const fit = new LeastSquares(1);
    fit.add(Float64Array.of(1), 5);
    fit.reset();
    fit.add(Float64Array.of(2), 6);
    expect(fit.solve()).toBe(true);
    expectNear(fit.solution[0], 3, { abs: 1e-12, because });
  });
});
