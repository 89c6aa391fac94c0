import { describe, expect, it } from 'vitest';
import { roomShare } from '../../src/report/bar.ts';
import { Trends, trendOf } from '../../src/report/trend.ts';
import { check, failing, run } from './told.ts';

describe('a margin against the baseline', () => {
  it.each([
    ['more', check({ margin: 25 }), check(), '4.2\u00a0A more room'],
    ['less', check({ margin: 20 }), check(), '0.8\u00a0A less room'],
    ['same', check({ margin: 20.8 * (1 + 1e-12) }), check(), 'as before'],
    ['now fails', failing(), check(), 'now fails'],
    ['now passes', check(), failing(), 'now passes'],
    ['less', failing({ margin: -5 }), failing(), '1.5\u00a0A less room'],
    ['new', check(), undefined, 'new check'],
    ['unknown', check({ margin: null, verdict: 'not evaluated' }), check(), 'not comparable'],
    // A limit in another unit is another check, however near its number is.
    ['unknown', check({ unit: 'V' }), check(), 'not comparable'],
  ] as const)('tells %s', (move, now, before, text) => {
    expect(trendOf(now, before)).toMatchObject({ move, text });
  });
});

describe('runs against the baseline', () => {
  it('are found by scenario, point and seed, wherever the file lies and in whatever order', () => {
    const point = (text: string) => [{ name: 'size', text }];
    const before = [
      run({ file: 'old/a.yaml', point: point('3 A') }),
      run({ point: point('2 A'), checks: [check({ margin: 1 })] }),
    ];
    const now = [run({ point: point('2 A') }), run({ point: point('3 A') }), run({ seed: 12, point: point('3 A') })];
    const trends = new Trends({ file: 'b.json', runs: before }, now);
    expect(now.map((each) => trends.of(each.checks[0]).move)).toEqual(['more', 'same', 'new']);
    expect(trends.gone).toEqual([]);
  });

  it('name every check that is gone: a check that was taken out must not look like progress', () => {
    const trends = new Trends({ file: 'b.json', runs: [run({ checks: [check(), check({ name: 'hard one' })] })] }, [
      run(),
    ]);
    expect(trends.gone).toEqual(['Seat a screw that is nearly in, seed 11, hard one']);
    expect(trends.count('same')).toBe(1);
  });

  it('keep twins apart by their order', () => {
    const twins = (a: number, b: number) => [run({ checks: [check({ margin: a }), check({ margin: b })] })];
    const now = twins(1, 5);
    const trends = new Trends({ file: 'b.json', runs: twins(1, 9) }, now);
    expect(now[0].checks.map((each) => trends.of(each).move)).toEqual(['same', 'less']);
  });
});

describe('room as a share', () => {
  it.each([
    [check({ limit: 100, margin: 20 }), 0.2],
    [check({ limit: -50, margin: -25 }), -0.5],
    [check({ limit: 0, value: 4, margin: -4 }), -1],
    [check({ limit: 0, value: 0, margin: 0 }), 0],
    [check({ margin: null }), undefined],
  ])('is taken from the limit, or from the value where the limit is zero', (each, share) => {
    expect(roomShare(each)).toBe(share);
  });
});
