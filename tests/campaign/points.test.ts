/** Points of grids, random draws and hypercubes, against the definitions of their textbooks; places and parts. */
import { describe, expect, it } from 'vitest';
import type { Campaign, Varied } from '../../src/campaign/campaign.ts';
import { triangleOf } from '../../src/campaign/correlate.ts';
import { gridSize, pointsOf } from '../../src/campaign/draw.ts';
import { seal, unseal } from '../../src/campaign/lines.ts';
import { valueAtPlace, withValues } from '../../src/campaign/place.ts';
import { pointsOfShard, shardOf } from '../../src/campaign/shard.ts';
import { expectNear } from '../support/near.ts';

const even = (place: string, from: number, to: number, more: Partial<Varied> = {}): Varied => ({
  place,
  spread: { kind: 'even', from, to },
  unit: '%',
  steps: 1,
  whole: false,
  ...more,
});
const bell = (place: string, mean: number, deviation: number, from = -Infinity, to = Infinity): Varied => ({
  ...even(place, 0, 1),
  spread: { kind: 'bell', mean, deviation, from, to },
});
type Drawn = Pick<Campaign, 'draw' | 'points' | 'vary' | 'seed' | 'triangle'>;
function all(campaign: Partial<Drawn> & Pick<Drawn, 'draw' | 'vary'>, points = 2000) {
  const at = pointsOf({ seed: 1, triangle: undefined, points, ...campaign });
  return Array.from({ length: points }, (_, k) => at(k + 1));
}
const numbers = (points: ReturnType<typeof all>, place: string) =>
  points.map((values) => Number.parseFloat(String(values[place])));
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const deviation = (values: readonly number[]) => Math.sqrt(mean(values.map((value) => (value - mean(values)) ** 2)));
function correlation(a: readonly number[], b: readonly number[]): number {
  return mean(a.map((value, k) => (value - mean(a)) * (b[k] - mean(b)))) / (deviation(a) * deviation(b));
}

describe('a grid', () => {
  const vary = [
    even('a', 10, 20, { steps: 3 }),
    { ...even('b', 0, 1), spread: { kind: 'listed', values: ['in', 'out'] } } as Varied,
  ];

  it('has every combination once, the last value fastest', () => {
    expect(gridSize(vary)).toBe(6);
    expect(all({ draw: 'grid', vary }, 6)).toEqual([
      { a: '10 %', b: 'in' },
      { a: '10 %', b: 'out' },
      { a: '15 %', b: 'in' },
      { a: '15 %', b: 'out' },
      { a: '20 %', b: 'in' },
      { a: '20 %', b: 'out' },
    ]);
  });

  it('of nothing is one point', () => {
    expect(gridSize([])).toBe(1);
    expect(all({ draw: 'grid', vary: [] }, 1)).toEqual([{}]);
  });
});

describe('random points', () => {
  it('are even between their ends, and whole where asked', () => {
    const points = all({ draw: 'random', vary: [even('a', 20, 40), even('seed', 1, 6, { unit: '', whole: true })] });
    const a = numbers(points, 'a');
    // Even over 20: deviation 20 / sqrt(12) = 5.77, of the mean of 2000 points 0.129.
    expectNear(mean(a), 30, { abs: 0.52, because: 'four deviations of the mean' });
    expectNear(deviation(a), 20 / Math.sqrt(12), { abs: 0.3, because: 'four deviations of a sample deviation' });
    const dice = numbers(points, 'seed');
    for (let face = 1; face <= 6; face++) {
      const count = dice.filter((value) => value === face).length;
      expectNear(count, 2000 / 6, { abs: 67, because: 'four deviations sqrt(n p (1 - p)) = 16.7' });
    }
  });

  it('are bells, cut off where asked', () => {
    const points = all({ draw: 'random', vary: [bell('a', 50, 4), bell('b', 50, 4, 48, 60)] });
    const a = numbers(points, 'a');
    expectNear(mean(a), 50, { abs: 0.36, because: 'four deviations of the mean, 4 / sqrt(2000)' });
    expectNear(deviation(a), 4, { abs: 0.26, because: 'four deviations of a deviation, 4 / sqrt(4000)' });
    const within = a.filter((value) => Math.abs(value - 50) < 4).length / 2000;
    expectNear(within, 0.6827, { abs: 0.042, because: 'share within one deviation; four times sqrt(p (1 - p) / n)' });
    const b = numbers(points, 'b');
    expect(Math.min(...b)).toBeGreaterThanOrEqual(48);
    expect(Math.max(...b)).toBeLessThanOrEqual(60);
    expect(b.filter((value) => value < 48.2).length).toBeLessThan(100);
  });

  it('go together as the matrix says; even values by 6/pi asin(r/2) (Pearson 1907, from memory)', () => {
    const triangle = triangleOf([
      [1, 0.8, 0],
      [0.8, 1, 0],
      [0, 0, 1],
    ]);
    const because = 'four deviations (1 - r^2) / sqrt(n), or 1 / sqrt(n) without correlation';
    const bells = all({ draw: 'random', vary: [bell('a', 0, 1), bell('b', 5, 2), bell('c', 0, 1)], triangle });
    expectNear(correlation(numbers(bells, 'a'), numbers(bells, 'b')), 0.8, { abs: 0.033, because });
    expectNear(correlation(numbers(bells, 'a'), numbers(bells, 'c')), 0, { abs: 0.09, because });
    const evens = all({ draw: 'random', vary: [even('a', 0, 1), even('b', 3, 4), even('c', 0, 1)], triangle });
    const expected = (6 / Math.PI) * Math.asin(0.4);
    expectNear(correlation(numbers(evens, 'a'), numbers(evens, 'b')), expected, { abs: 0.04, because });
  });

  it('stay what they are when there are more of them, or a further value varies', () => {
    const few = all({ draw: 'random', vary: [even('a', 0, 1)] }, 50);
    const many = all({ draw: 'random', vary: [even('b', 0, 1), even('a', 0, 1)] }, 90);
    expect(numbers(many, 'a').slice(0, 50)).toEqual(numbers(few, 'a'));
  });
});

describe('a latin hypercube', () => {
  it('has each of n slices of each value once, and the mean far closer than chance', () => {
    const n = 400;
    const points = all({ draw: 'hypercube', vary: [even('a', 0, 1), even('b', 10, 50)] }, n);
    for (const [place, low, span] of [
      ['a', 0, 1],
      ['b', 10, 40],
    ] as const) {
      const slices = numbers(points, place).map((value) => Math.floor(((value - low) / span) * n));
      expect(new Set(slices).size).toBe(n);
      const because = 'one point a slice: deviation span / (sqrt(12) n sqrt(n)), four of them';
      expectNear(mean(numbers(points, place)), low + span / 2, { abs: (4 * span) / (Math.sqrt(12 * n) * n), because });
    }
    const r = correlation(numbers(points, 'a'), numbers(points, 'b'));
    expectNear(r, 0, { abs: 4 / Math.sqrt(n), because: 'orders are shuffled on their own: four times 1 / sqrt(n)' });
  });
});

describe('places', () => {
  const content = { seed: 1, timeline: [{ at: '1 s' }, { at: '2 s', trigger: '3 %' }], set: { 'a.b': 1, a: { c: 2 } } };

  it('are counted from one, and keys with dots in them are found', () => {
    const changed = withValues(content, {
      'timeline.2.trigger': '9 %',
      'chuck.depth': '1 mm',
      'set.a.b': 5,
      'set.a.c': 6,
    });
    expect(changed).toEqual({
      ...content,
      timeline: [{ at: '1 s' }, { at: '2 s', trigger: '9 %' }],
      chuck: { depth: '1 mm' },
      set: { 'a.b': 5, a: { c: 6 } },
    });
    expect(content.timeline[1].trigger).toBe('3 %');
    expect(valueAtPlace(content, 'timeline.2.at')).toBe('2 s');
    expect(valueAtPlace(content, 'chuck.depth')).toBeUndefined();
  });

  it.each([
    ['timeline.3.at', /'3' is no entry of timeline; allowed is 1 to 2/],
    ['timeline.0.at', /'0' is no entry of timeline/],
    ['seed.x', /seed holds no further keys/],
  ])('that are not there are refused: %s', (place, why) => {
    expect(() => withValues(content, { [place]: 1 })).toThrow(why);
  });
});

describe('parts', () => {
  it('share the points out, each to one', () => {
    const all8 = Array.from({ length: 8 }, (_, k) => pointsOfShard(1003, { index: k + 1, count: 8 }));
    expect(all8.flat().sort((a, b) => a - b)).toEqual(Array.from({ length: 1003 }, (_, k) => k + 1));
    const sizes = all8.map(({ length }) => length);
    expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
  });

  const slurm = (id: string, more = {}) => ({
    SLURM_ARRAY_TASK_ID: id,
    SLURM_ARRAY_TASK_COUNT: '4',
    SLURM_ARRAY_TASK_MIN: '0',
    ...more,
  });
  it.each([
    ['2/8', {}, { index: 2, count: 8 }],
    ['env', slurm('3'), { index: 4, count: 4 }],
    // sbatch manual: --array=0-15:4 has the tasks 0, 4, 8, 12.
    ['env', slurm('12', { SLURM_ARRAY_TASK_STEP: '4' }), { index: 4, count: 4 }],
    ['env', slurm('6', { SLURM_ARRAY_TASK_MIN: '5' }), { index: 2, count: 4 }],
    ['env/10', { JOB_COMPLETION_INDEX: '0' }, { index: 1, count: 10 }],
    ['env/10', { JOB_COMPLETION_INDEX: '9' }, { index: 10, count: 10 }],
    ['env/3', { PARALLEL_SEQ: '3' }, { index: 3, count: 3 }],
  ])('are read from %s with %j', (text, environment, shard) => {
    expect(shardOf(text, environment)).toEqual(shard);
  });

  it.each([
    ['0/8', {}, /allowed is 1\/n to n\/n/],
    ['two', {}, /allowed are i\/n, such as 2\/8, env, and env\/n/],
    ['env', { PARALLEL_SEQ: '3' }, /PARALLEL_SEQ does not say how many parts there are/],
    ['env/8', { JOB_COMPLETION_INDEX: '8' }, /is part 9 of 8/],
    ['env', slurm('7'), /SLURM_ARRAY_TASK_ID 7 is no place in a row/],
    ['env', slurm('x'), /SLURM_ARRAY_TASK_ID is 'x'; allowed is a whole number/],
  ])('are refused: %s with %j', (text, environment, why) => {
    expect(() => shardOf(text, environment)).toThrow(why);
  });
});

describe('a line of results', () => {
  it('comes back, and any changed character is known', () => {
    const line = seal({ end: true, runs: 12 });
    expect(unseal(line)).toEqual({ end: true, runs: 12 });
    for (let k = 0; k < line.length; k++) {
      const other = line[k] === '1' ? '2' : '1';
      const changed = line.slice(0, k) + other + line.slice(k + 1);
      expect(unseal(changed), changed).toBeUndefined();
      expect(unseal(line.slice(0, k))).toBeUndefined();
    }
  });
});
