/** Where the draws come from: normal distribution, correlations, streams, checksum. */
import { describe, expect, it } from 'vitest';
import { mix, triangleOf } from '../../src/campaign/correlate.ts';
import { crc32 } from '../../src/campaign/crc32.ts';
import { normalQuantile, normalShare } from '../../src/campaign/normal.ts';
import { shuffled, streamFor } from '../../src/campaign/streams.ts';
import { expectNear } from '../support/near.ts';

describe('the normal distribution', () => {
  // Tables of the normal distribution in any handbook of statistics (from memory): x, share below.
  it.each([
    [0, 0.5],
    [1, 0.8413447461],
    [1.644853627, 0.95],
    [1.959963985, 0.975],
    [2.575829304, 0.995],
    [-3, 1.349898032e-3],
    [-6, 9.86587645e-10],
  ])('has below %d the share %d of the tables', (x, share) => {
    const because = 'ten digits of share or of x: half of the last one';
    expectNear(normalShare(x), share, { abs: 5e-10 * share, because });
  });

  it('is continuous where the series hands over to the fraction of the tail', () => {
    for (const at of [-3, 3]) {
      const step = 1e-9;
      const slope = (normalShare(at + step) - normalShare(at - step)) / (2 * step);
      const density = Math.exp(-0.5 * at * at) / Math.sqrt(2 * Math.PI);
      expectNear(slope, density, { abs: 1e-6, because: 'a difference of shares over 2e-9 keeps seven digits' });
    }
  });

  it('is found again by its inverse, into the tails', () => {
    for (const x of [-8, -4, -2.999, -1, 0, 0.3, 2.5]) {
      expectNear(normalQuantile(normalShare(x)), x, { abs: 1e-9, because: 'the share near one keeps fewer digits' });
    }
    expect(() => normalQuantile(0)).toThrow(/allowed is above 0 and below 1/);
  });
});

describe('correlations', () => {
  it('are taken apart as the worked example of the textbooks says', () => {
    // [[1, r], [r, 1]] has the triangle [[1], [r, sqrt(1 - r^2)]]: by hand.
    const [first, second] = triangleOf([
      [1, 0.6],
      [0.6, 1],
    ]);
    expect(first).toEqual([1]);
    expect(second[0]).toBe(0.6);
    expectNear(second[1], 0.8, { abs: 1e-15, because: 'one root' });
  });

  it('come back as the matrix when the triangle is multiplied with itself', () => {
    const matrix = [
      [1, 0.5, -0.3, 0],
      [0.5, 1, 0.2, 0.7],
      [-0.3, 0.2, 1, 0.1],
      [0, 0.7, 0.1, 1],
    ];
    const rows = triangleOf(matrix);
    matrix.forEach((row, i) => {
      row.forEach((wanted, j) => {
        const sum = rows[i].reduce((total, value, k) => total + value * (rows[j][k] ?? 0), 0);
        expectNear(sum, wanted, { abs: 1e-15, because: 'four products of numbers below one' });
      });
    });
  });

  it.each([
    [[[1, 0.5]], /row 1 has 2 numbers; allowed are 1/],
    [[[0.9]], /row 1 has 0.9 on the diagonal; allowed is 1/],
    [
      [
        [1, 0.5],
        [0.4, 1],
      ],
      /row 2 has 0.4 where row 1 has 0.5/,
    ],
    [
      [
        [1, 1],
        [1, 1],
      ],
      /row 2 has 1; allowed is above -1 and below 1/,
    ],
    [
      [
        [1, 0.9, 0.9],
        [0.9, 1, -0.9],
        [0.9, -0.9, 1],
      ],
      /row 3 contradicts the rows above it/,
    ],
  ])('that cannot be are refused: %j', (matrix, why) => {
    expect(() => triangleOf(matrix)).toThrow(why);
  });

  it('are those of the mixed draws', () => {
    const rows = triangleOf([
      [1, -0.7],
      [-0.7, 1],
    ]);
    const [a, b] = [streamFor(3, 'a'), streamFor(3, 'b')];
    const n = 20_000;
    let product = 0;
    for (let k = 0; k < n; k++) {
      const [x, y] = mix(rows, [normalQuantile(a.share()), normalQuantile(b.share())]);
      product += x * y;
    }
    const because = 'deviation of the mean product is sqrt(1 + r^2) / sqrt(n) = 0.0086; four of them';
    expectNear(product / n, -0.7, { abs: 0.035, because });
  });
});

describe('streams', () => {
  const first = (seed: number, purpose: string) => {
    const stream = streamFor(seed, purpose);
    return [stream.share(), stream.share(), stream.share()];
  };

  it('repeat, and differ by seed and by purpose', () => {
    expect(first(1, 'a')).toEqual(first(1, 'a'));
    expect(new Set([first(1, 'a'), first(2, 'a'), first(1, 'b')].flat()).size).toBe(9);
  });

  it('are even: chi squared over a hundred boxes is that of chance', () => {
    const [boxes, n] = [100, 100_000];
    for (const purpose of ['a', 'faults.1.size']) {
      const stream = streamFor(1, purpose);
      const counts = new Array<number>(boxes).fill(0);
      for (let k = 0; k < n; k++) counts[Math.floor(stream.share() * boxes)]++;
      const chi = counts.reduce((sum, count) => sum + (count - n / boxes) ** 2 / (n / boxes), 0);
      // 99 degrees of freedom: mean 99, deviation sqrt(198) = 14.
      expectNear(chi, 99, { abs: 56, because: 'four deviations of chi squared with 99 degrees of freedom' });
    }
  });

  it('shuffle: every number once', () => {
    const order = shuffled(1000, streamFor(1, 'order'));
    expect([...order].sort((a, b) => a - b)).toEqual(Array.from({ length: 1000 }, (_, k) => k));
    expect([...order].filter((value, k) => value === k).length).toBeLessThan(10);
  });
});

describe('the checksum', () => {
  it('has the check value that catalogs of checksums list for CRC-32', () => {
    expect(crc32('123456789')).toBe('cbf43926');
    expect(crc32('')).toBe('00000000');
  });
});
