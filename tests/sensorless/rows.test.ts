/** Limits and statistics of the experiments, against closed forms and tables. */
import { describe, expect, it } from 'vitest';
import { expectNear } from '../support/near.ts';
import { deviation, quantile, type Row, upperLimit, verdictOf } from './rows.ts';

describe('rows of an experiment', () => {
  it('bounds a share of which nothing was seen by the closed form', () => {
    const because = 'the halving ends far below the last digit of the closed form 1 - 0.05^(1/n)';
    for (const n of [10, 300, 1000]) {
      expectNear(upperLimit(0, n), 1 - 0.05 ** (1 / n), { abs: 1e-12, because });
    }
    // The rule of three of biostatistics, 3 / n, is its expansion: -ln 0.05 = 2.996 (from memory).
    expectNear(300 * upperLimit(0, 300), 3, { abs: 0.02, because: 'the rule of three leaves out (3 / n)^2 / 2' });
  });

  it('bounds a share of which some were seen as tables of Clopper and Pearson do', () => {
    // One-sided 95 % limits of 1 and 2 in 10: 0.3942 and 0.5069 (binomial tables, from memory).
    const because = 'the table has four digits';
    expectNear(upperLimit(1, 10), 0.3942, { abs: 5e-5, because });
    expectNear(upperLimit(2, 10), 0.5069, { abs: 5e-5, because });
  });

  it('judges a value by its limits, and holds one that is not a number against it', () => {
    const row = (value: number, limits: Partial<Row>): Row => ({ name: 'x', value, unit: '', how: '', ...limits });
    expect(verdictOf(row(1, { most: 1 }))).toBe('holds');
    expect(verdictOf(row(1.01, { most: 1 }))).toBe('does not hold');
    expect(verdictOf(row(0.99, { least: 1, most: 2 }))).toBe('does not hold');
    expect(verdictOf(row(Number.NaN, { most: 1 }))).toBe('does not hold');
    expect(verdictOf(row(7, {}))).toBe('stated');
  });

  it('takes quantiles and deviations of lists', () => {
    const list = [2, 4, 4, 4, 5, 5, 7, 9];
    expectNear(deviation(list), Math.sqrt(32 / 7), { abs: 1e-12, because: 'squares about the mean of 5 sum to 32' });
    expect(quantile(list, 0.5)).toBe(4);
    expect(quantile(list, 0.95)).toBe(9);
  });
});
