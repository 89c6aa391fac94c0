/** Limits on rates and sample sizes, against published figures, closed forms and a sum that is bisected on its own. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { betaQuantile, betaShare, logGamma } from '../../src/campaign/beta.ts';
import { highLimit, lowLimit, rateLimits, rateOf, runsNeeded } from '../../src/campaign/rates.ts';
import { expectNear } from '../support/near.ts';

/** Chance of `most` or fewer among n, term by term: nothing of the beta function is in it. */
function fewer(most: number, n: number, p: number): number {
  let sum = 0;
  for (let k = 0; k <= most; k++) {
    let logChoose = 0;
    for (let j = 1; j <= k; j++) logChoose += Math.log((n - k + j) / j);
    sum += Math.exp(logChoose + k * Math.log(p) + (n - k) * Math.log1p(-p));
  }
  return sum;
}

/** The definition of the limits (Biometrika 26, 1934, from memory): the p at which a tail has just `rest`. */
function bisected(count: number, n: number, rest: number): { low: number; high: number } {
  const find = (tooSmall: (p: number) => boolean) => {
    let [low, high] = [0, 1];
    for (let k = 0; k < 80; k++) {
      const middle = (low + high) / 2;
      if (tooSmall(middle)) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  };
  return {
    low: count === 0 ? 0 : find((p) => 1 - fewer(count - 1, n, p) < rest),
    high: count === n ? 1 : find((p) => fewer(count, n, p) > rest),
  };
}

describe('limits on a rate', () => {
  // docs.scipy.org, BinomTestResult.proportion_ci, example with method 'exact' (Clopper and Pearson).
  it('are those that the handbook of a statistics library prints for 7 of 50', () => {
    const { low, high } = rateLimits(7, 50);
    // Exact fractions put the tail at the printed low limit 8e-13 off its 2.5 %, and 2e-16 at the one found here.
    const because = 'the root finder behind the printed figures stops at 2e-12';
    expectNear(low, 0.05819170033997342, { abs: 2e-12, because });
    expectNear(high, 0.26739600249700846, { abs: 2e-12, because });
  });

  // codingace.net, table of examples for Clopper-Pearson intervals, four digits.
  it.each([
    [3, 20, 0.95, 0.0321, 0.3789],
    [42, 100, 0.95, 0.322, 0.5229],
    [85, 120, 0.99, 0.5904, 0.8092],
  ])('are those of a printed table for %d of %d at %d', (count, of, confidence, low, high) => {
    const because = 'the table has four digits: half of the last one';
    expectNear(rateLimits(count, of, confidence).low, low, { abs: 5.1e-5, because });
    expectNear(rateLimits(count, of, confidence).high, high, { abs: 5.1e-5, because });
  });

  it('have closed forms at both ends: (alpha / 2)^(1/n) and its complement', () => {
    for (const n of [1, 2, 10, 299, 5000]) {
      const root = 0.025 ** (1 / n);
      const because = 'bisection ends at the last bit, the logarithms before it lose about ten roundings';
      expect(rateLimits(0, n).low).toBe(0);
      expect(rateLimits(n, n).high).toBe(1);
      expectNear(rateLimits(0, n).high, 1 - root, { abs: 1e-13, because });
      expectNear(rateLimits(n, n).low, root, { abs: 1e-13, because });
    }
  });

  it('agree with the binomial sum, bisected term by term', () => {
    const counts = fc
      .integer({ min: 1, max: 120 })
      .chain((n) => fc.tuple(fc.integer({ min: 0, max: n }), fc.constant(n)));
    const confidences = fc.constantFrom(0.8, 0.9, 0.95, 0.99);
    const because = 'the sum of up to 120 terms, each through logarithms, keeps about eleven digits';
    fc.assert(
      fc.property(counts, confidences, ([count, n], confidence) => {
        const mine = rateLimits(count, n, confidence);
        const theirs = bisected(count, n, (1 - confidence) / 2);
        expectNear(mine.low, theirs.low, { abs: 1e-10, because });
        expectNear(mine.high, theirs.high, { abs: 1e-10, because });
      }),
      { numRuns: 60, seed: 6 },
    );
  });

  it('hold what they promise: for every true rate the share of counts whose limits hold it is not below 95 %', () => {
    const n = 30;
    for (const p of [0.02, 0.1, 0.35, 0.5, 0.77, 0.95, 0.99]) {
      let held = 0;
      for (let count = 0; count <= n; count++) {
        const { low, high } = rateLimits(count, n);
        if (p >= low && p <= high) held += fewer(count, n, p) - (count > 0 ? fewer(count - 1, n, p) : 0);
      }
      expect(held).toBeGreaterThanOrEqual(0.95);
    }
  });

  it('leave a rate without runs open', () => {
    expect(rateOf(0, 0)).toMatchObject({ share: null, low: null, high: null, atLeast: null });
    expect(rateOf(299, 299).atLeast).toBeGreaterThan(0.99);
    expect(rateOf(298, 298).atLeast).toBeLessThan(0.99);
  });

  it.each([
    [-1, 10, 0.95],
    [11, 10, 0.95],
    [1.5, 10, 0.95],
    [0, 0, 0.95],
    [1, 10, 1],
  ])('refuse %d of %d at %d', (count, of, confidence) => {
    expect(() => lowLimit(count, of, confidence)).toThrow(/allowed/);
    expect(() => highLimit(count, of, confidence)).toThrow(/allowed/);
  });
});

describe('the number of runs that a claim takes', () => {
  // First, second and third order of Wilks' formula, as tolerance studies of reactor safety list them (from memory).
  it.each([
    [0.95, 0, 59],
    [0.95, 1, 93],
    [0.95, 2, 124],
    [0.99, 0, 299],
    [0.99, 1, 473],
    [0.99, 2, 628],
  ])('that %s pass, at 95 percent, at 95 percent with %d failures is %d', (share, failures, runs) => {
    expect(runsNeeded(share, 0.95, failures)).toBe(runs);
  });

  it('is the smallest that the binomial sum allows', () => {
    for (const [share, confidence, failures] of [
      [0.9, 0.9, 0],
      [0.9, 0.95, 3],
      [0.98, 0.99, 1],
    ]) {
      const n = runsNeeded(share, confidence, failures);
      expect(fewer(failures, n, 1 - share)).toBeLessThanOrEqual(1 - confidence);
      expect(fewer(failures, n - 1, 1 - share)).toBeGreaterThan(1 - confidence);
    }
  });

  it.each([
    [1, 0.95, 0],
    [0.99, 0, 0],
    [0.99, 0.95, 0.5],
  ])('refuses %d at %d with %d failures', (share, confidence, failures) => {
    expect(() => runsNeeded(share, confidence, failures)).toThrow(/allowed/);
  });
});

describe('the beta function behind them', () => {
  it('has logarithms of factorials', () => {
    let factorial = 0;
    for (let n = 1; n <= 170; n++) {
      const because = 'both sums round once for each factor';
      expectNear(logGamma(n), factorial, { abs: 1e-13 * Math.max(1, factorial), because });
      factorial += Math.log(n);
    }
    const because = 'Gamma(1/2) is the root of pi (reflection formula), two roundings';
    expectNear(logGamma(0.5), Math.log(Math.PI) / 2, { abs: 1e-15, because });
  });

  it('is a power where one argument is 1, and mirrors', () => {
    const because = 'closed forms I_x(a, 1) = x^a and I_x(a, b) = 1 - I_1-x(b, a); some ten roundings';
    for (const x of [0, 1e-6, 0.2, 0.5, 0.9, 1]) {
      for (const a of [0.5, 1, 3, 40]) {
        expectNear(betaShare(x, a, 1), x ** a, { abs: 1e-14, because });
        expectNear(betaShare(x, a, 7) + betaShare(1 - x, 7, a), 1, { abs: 1e-13, because });
      }
    }
    expectNear(betaQuantile(betaShare(0.3, 5, 9), 5, 9), 0.3, { abs: 1e-14, because: 'there and back' });
  });

  it('converges for a million runs', () => {
    const { low, high } = rateLimits(999_000, 1_000_000);
    const deviation = Math.sqrt((0.999 * 0.001) / 1e6);
    const because = 'the normal limits 1.96 sigma hold within a few per cent of sigma at a thousand failures';
    expectNear(low, 0.999 - 1.96 * deviation, { abs: 0.1 * deviation, because });
    expectNear(high, 0.999 + 1.96 * deviation, { abs: 0.1 * deviation, because });
  });
});
