/** Searches against functions whose answers are known: no plant is in it, so that nothing but the search can be wrong. */
import { describe, expect, it } from 'vitest';
import { breakSearch } from '../../src/campaign/break.ts';
import type { BreakSpec, Varied, WorstSpec } from '../../src/campaign/campaign.ts';
import type { BreakOutcome, PointResult, PointVerdict, Values, WorstOutcome } from '../../src/campaign/results.ts';
import type { Search } from '../../src/campaign/search.ts';
import { worstSearch } from '../../src/campaign/worst.ts';
import { expectNear } from '../support/near.ts';

/** A result whose only check has this margin; NaN stands for one that was not evaluated. */
function resultOf(values: Values, margin: number, verdict?: PointVerdict): PointResult {
  const open = Number.isNaN(margin);
  const state = open ? 'not evaluated' : margin >= 0 ? 'pass' : 'fail';
  return {
    point: 1,
    run: 1,
    values,
    board: '',
    firmware: '',
    verdict: verdict ?? (state === 'pass' ? 'passed' : 'failed'),
    why: '',
    checks: [
      {
        name: 'room',
        verdict: state,
        value: open ? null : 100 - margin,
        limit: 100,
        bound: 'at most',
        unit: 'A',
        margin: open ? null : margin,
        at_s: 0,
        signal: 'currentQ',
        take: 'peak',
        why: open ? 'no reading' : '',
      },
    ],
    virtual_s: 1,
    lostTime_s: 0,
    energyResidual: 0,
    stateHash: '',
    faults: [],
  };
}

/** Plays a search to its end. */
function play<Outcome>(search: Search, margin: (values: Values) => number): { found: Outcome; asked: Values[] } {
  const asked: Values[] = [];
  let step = search.next([]);
  while (!step.done) {
    asked.push(...step.value);
    step = search.next(step.value.map((values) => resultOf(values, margin(values))));
  }
  return { found: step.value as Outcome, asked };
}

const SPEC: BreakSpec = {
  place: 'faults.1.size',
  unit: 'A',
  from: 0,
  to: 16,
  tolerance: 0.25,
  check: 'any',
  probes: 3,
  asked: null,
};
const size = (values: Values): number => Number.parseFloat(String(values['faults.1.size']));
const find = (margin: (value: number) => number, more: Partial<BreakSpec> = {}) =>
  play<BreakOutcome>(breakSearch({ ...SPEC, ...more }, 1, { seed: 4 }), (values) => margin(size(values)));

describe('a breaking point', () => {
  it('is bracketed to the tolerance, with the runs that halving takes', () => {
    const { found, asked } = find((value) => 10.3 - value);
    expect(found).toMatchObject({ found: 'bracket', holds: 10.25, fails: 10.5, monotone: true, verdict: 'pass' });
    // Two ends, log2(16 / 0.25) = 6 halvings, three probes on each side.
    expect(found.runs).toBe(2 + 6 + 6);
    expect(asked).toHaveLength(14);
    expect(asked.every((values) => values.seed === 4)).toBe(true);
  });

  it('holds for any place of the flip: the bracket has it inside and is no wider than asked', () => {
    for (let k = 1; k < 60; k++) {
      const flip = (16 * k) / 60;
      const { found } = find((value) => flip - value, { tolerance: 0.01 });
      expect(found.holds).toBeLessThanOrEqual(flip);
      expect(found.fails).toBeGreaterThan(flip);
      expect(found.fails! - found.holds!).toBeLessThanOrEqual(0.01);
      expect(found.monotone).toBe(true);
    }
  });

  it('goes down as well as up', () => {
    const { found } = find((value) => value - 3, { from: 16, to: 0, asked: 4 });
    expect(found).toMatchObject({ found: 'bracket', holds: 3, fails: 2.75, verdict: 'pass', margin: 1 });
  });

  it('says so when probes contradict that there is one flip', () => {
    // Holds below 3 and between 12 and 14: the probe beyond at 12.375 to 12.9 finds it.
    const { found } = find((value) => (value < 3 || (value > 12 && value < 14) ? 1 : -1));
    expect(found.found).toBe('bracket');
    expect(found.monotone).toBe(false);
    expect(found.contradicting.length).toBeGreaterThan(0);
    for (const odd of found.contradicting) expect(odd > 12 && odd < 14).toBe(true);
  });

  it('goes back to the first flip when a probe before the bracket does not hold', () => {
    // Fails between 1 and 3 and above 11: bisection alone ends at 11, a probe at 2.75 tells.
    const { found } = find((value) => ((value > 1 && value < 3) || value > 11 ? -1 : 1), { asked: 10 });
    expect(found).toMatchObject({ found: 'bracket', monotone: false, verdict: 'fail' });
    expect(found.holds).toBeLessThanOrEqual(1);
    expect(found.fails).toBeGreaterThan(1);
    expect(found.fails! - found.holds!).toBeLessThanOrEqual(0.25);
    expect(found.margin).toBe(found.holds! - 10);
    for (const odd of found.contradicting) expect(odd >= 3 && odd <= 11).toBe(true);
  });

  it('finds a hole between two ends that hold', () => {
    const { found } = find((value) => (value > 3 && value < 5 ? -1 : 1));
    expect(found.found).toBe('bracket');
    expect(found.monotone).toBe(false);
    expect(found.holds! <= 3 && found.fails! > 3).toBe(true);
  });

  it('tells the ends of the range apart', () => {
    expect(find(() => 1).found).toMatchObject({ found: 'holds all over', holds: 16, fails: null, verdict: 'pass' });
    expect(find(() => -1, { asked: 2 }).found).toMatchObject({
      found: 'fails from the start',
      holds: null,
      verdict: 'fail',
      margin: -2,
    });
  });

  it('is undecided where the check is not evaluated', () => {
    const { found } = find((value) => (value === 8 ? Number.NaN : 10 - value));
    expect(found).toMatchObject({ found: 'undecided', verdict: 'not evaluated', margin: null });
    expect(found.why).toBe("at faults.1.size 8 A 'room' is not evaluated: no reading");
  });
});

const range = (place: string, from: number, to: number): Varied => ({
  place,
  spread: { kind: 'even', from, to },
  unit: '',
  steps: 1,
  whole: false,
});
const WORST: WorstSpec = { check: 'any', runs: 300, starts: 1, finest: 1e-4 };
const worst = (vary: readonly Varied[], margin: (values: Values) => number, spec = WORST, at = 1) =>
  play<WorstOutcome>(worstSearch(spec, { vary, seed: 3 }, at, ['room']), margin);

describe('a search for the worst', () => {
  const plane = [range('x', -5, 5), range('y', -5, 5)];
  const xy = ({ x, y }: Values) => [Number(x), Number(y)];

  it('finds the minimum of a bowl, to the finest step', () => {
    const { found, asked } = worst(plane, (values) => {
      const [x, y] = xy(values);
      return 7 + (x - 1.25) ** 2 + 3 * (y + 2) ** 2;
    });
    const because = 'the search ends when a step of 1e-4 of the range, 0.001, makes it no worse';
    expectNear(Number(found.values.x), 1.25, { abs: 2e-3, because });
    expectNear(Number(found.values.y), -2, { abs: 2e-3, because });
    expectNear(found.margin!, 7, { abs: 1e-5, because: 'a bowl is flat at its bottom: 4 times 1e-3 squared' });
    expect(found.room).toBe(found.margin! / 100);
    expect(asked.length).toBeLessThan(150);
    expect(new Set(asked.map((values) => JSON.stringify(values))).size).toBe(asked.length);
  });

  // D. M. Himmelblau, Applied Nonlinear Programming (1972), from memory: four minima of zero, one at (3, 2).
  it('finds one of the four minima of a published test function, and others from other starts', () => {
    const minima = [
      [3, 2],
      [-2.805118, 3.131312],
      [-3.77931, -3.283186],
      [3.584428, -1.848126],
    ];
    const seen = new Set<number>();
    for (let start = 1; start <= 12; start++) {
      const { found } = worst(
        plane,
        (values) => {
          const [x, y] = xy(values);
          return (x * x + y - 11) ** 2 + (x + y * y - 7) ** 2;
        },
        WORST,
        start,
      );
      const [x, y] = xy(found.values);
      const near = minima.findIndex(([a, b]) => Math.hypot(x - a, y - b) < 0.01);
      expect(near, JSON.stringify(found.values)).toBeGreaterThanOrEqual(0);
      seen.add(near);
    }
    expect(seen.size).toBeGreaterThan(1);
  });

  it('stays within bounds: the worst of a slope is its corner', () => {
    const { found } = worst(plane, (values) => 20 + xy(values)[0] - xy(values)[1]);
    expect(found.values).toEqual({ x: -5, y: 5 });
    expect(found).toMatchObject({ margin: 10, verdict: 'pass' });
  });

  it('looks at the neighbors in a list, and keeps to the runs that are allowed', () => {
    const list: Varied = {
      place: 'gear',
      spread: { kind: 'listed', values: [0, 1, 2, 3] },
      unit: '',
      steps: 4,
      whole: false,
    };
    const { found } = worst([list, range('x', 0, 1)], ({ gear, x }) => 1 - Number(gear) + Number(x));
    expect(found.values).toEqual({ gear: 3, x: 0 });
    expect(found.verdict).toBe('fail');
    const short = worst(plane, (values) => xy(values)[0] + 6, { ...WORST, runs: 9 });
    expect(short.asked).toHaveLength(9);
    expect(short.found.ended).toBe('9 runs are all that were allowed');
  });

  it('repeats, and ends at once when nothing can be judged', () => {
    const bowl = (values: Values) => 1 + xy(values)[0] ** 2 + xy(values)[1] ** 2;
    expect(worst(plane, bowl)).toEqual(worst(plane, bowl));
    expect(worst(plane, () => Number.NaN).found).toMatchObject({ verdict: 'not evaluated', margin: null });
  });
});
