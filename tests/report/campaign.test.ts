/** Reports of campaigns: what is judged, where a breaking point lies in the picture, and how margins are laid out. Numbers are illustrative. */
import { describe, expect, it } from 'vitest';
import type { BreakOutcome, CampaignSummary, PointResult, Rate } from '../../src/campaign/results.ts';
import { baselineRuns, campaignTold } from '../../src/report/campaign.ts';
import { marginHistogram } from '../../src/report/histogram.ts';
import { junitOf } from '../../src/report/junit.ts';
import { pageOf } from '../../src/report/page.ts';
import { rulerSvg, triedOf } from '../../src/report/ruler.ts';
import { crossings } from '../../src/report/sections/varied.ts';
import { tableOf } from '../../src/report/table.ts';
import type { CheckResult } from '../../src/scenario/check.ts';
import { expectNear } from '../support/near.ts';
import { report, check as told, failing as toldFailing } from './told.ts';
import { readByNpm } from './xml-readers.ts';

/** Checks as the runner leaves them. */
const check = (change: Partial<CheckResult> = {}) => told(change as object) as unknown as CheckResult;
const failing = (change: Partial<CheckResult> = {}) => toldFailing(change as object) as unknown as CheckResult;

const RATE: Rate = { passed: 1, of: 2, share: 0.5, low: 0.0126, high: 0.9874, atLeast: 0.0253, confidence: 0.95 };

function summaryOf(change: Partial<CampaignSummary> = {}): CampaignSummary {
  return {
    format: 'campaign summary',
    version: 1,
    title: 'Weak magnets',
    file: 'c/weak.yaml',
    scenario: 'c/press.yaml',
    campaign: 'f00',
    controller: '',
    method: 'grid',
    shard: '',
    results: 'weak.jsonl',
    points: 2,
    runs: 2,
    finished: true,
    verdicts: { passed: 1, failed: 1, invalid: 0, 'controller lost': 0, 'set-up error': 0 },
    rate: RATE,
    sampled: false,
    checks: [],
    cases: [],
    failed: [],
    invalid: [],
    lost: [],
    refused: [],
    slowest: [],
    virtual_s: 0.5,
    wall_s: 1,
    cautions: ['no random sample'],
    ...change,
  };
}

function point(at: number, change: Partial<PointResult> = {}): PointResult {
  return {
    point: at,
    run: 0,
    values: {},
    board: 'built-in board',
    firmware: 'six-step-1',
    verdict: 'passed',
    why: '',
    checks: [check()],
    virtual_s: 0.25,
    lostTime_s: 0,
    energyResidual: 1e-8,
    stateHash: `hash${at}`,
    faults: [{ at_s: 0.1, order: 0, fault: 'magnet-weak', what: 'begins' }],
    ...change,
  } as PointResult;
}

const found: BreakOutcome = {
  kind: 'break',
  case: 1,
  values: { 'chuck.gear': 1 },
  place: 'faults.1.size',
  check: 'the phase current stays in its limit',
  unit: '%',
  found: 'bracket',
  why: '',
  holds: 30,
  fails: 31,
  tolerance: 1,
  runs: 4,
  monotone: true,
  contradicting: [],
  asked: 15,
  verdict: 'pass',
  margin: 15,
  again: 'npm run -s sim -- campaign c/weak.yaml --with x',
};
const SIZES = [0, 30, 31, 60];
const searched = SIZES.map((size, k) =>
  point(1, {
    run: k + 1,
    values: { 'chuck.gear': 1, 'faults.1.size': `${size} %` },
    verdict: size > 30 ? 'failed' : 'passed',
    checks: [size > 30 ? failing() : check()],
  }),
);

describe('a campaign', () => {
  it('is judged by its runs, each with its values, its seed and the line that plays it again', () => {
    const ref = { name: '2', values: {}, verdict: 'failed' as const, why: '', failed: [], again: 'play 2 again' };
    const made = campaignTold(
      summaryOf({ failed: [ref] }),
      [
        point(1, { values: { seed: 7, 'chuck.gear': 2 } }),
        point(2, { values: { seed: 8, drill: 'light-12' }, verdict: 'failed', checks: [failing()] }),
      ],
      { scenario: { drill: 'bench-18', seed: 1, ordered: [], requirements: ['R-7'] }, cautions: ['signal level'] },
    );
    expect(made.judged).toBe(made.played);
    expect(made.judged).toMatchObject([
      {
        seed: 7,
        drill: 'bench-18',
        point: [{ name: 'chuck.gear', text: '2' }],
        coupling: 'in-process',
        requirements: ['R-7'],
        cautions: ['no random sample', 'signal level'],
      },
      { seed: 8, drill: 'light-12', again: 'play 2 again', verdict: 'failed' },
    ]);
  });

  it('that searches is judged by its cases: the runs that fail on the way are no failures', () => {
    const made = campaignTold(summaryOf({ method: 'break', cases: [found] }), searched);
    expect(made.played).toHaveLength(4);
    expect(made.judged).toHaveLength(1);
    const { suites } = readByNpm(junitOf(made.judged, { at: '', properties: {} }).text);
    expect(suites[0]).toMatchObject({ failures: 0, errors: 0, tests: 2 });
    const missed = { ...found, verdict: 'fail' as const, asked: 40, margin: -10 };
    const red = campaignTold(
      summaryOf({
        method: 'break',
        cases: [missed, { ...found, verdict: 'not evaluated', found: 'undecided', why: 'the link was lost' }],
      }),
      searched,
    );
    const read = readByNpm(junitOf(red.judged, { at: '', properties: {} }).text);
    expect(read.suites.map(({ failures, errors }) => failures + errors)).toEqual([1, 2]);
  });

  it('is compared by its smallest margins, or by its cases', () => {
    const smallest = {
      name: 'c',
      unit: 'A',
      signal: 's',
      passed: 2,
      failed: 0,
      notEvaluated: 0,
      rate: RATE,
      margin: { smallest: 3, median: 4, largest: 5, at: '1' },
    };
    expect(baselineRuns(summaryOf({ checks: [smallest] }))[0].checks).toMatchObject([
      { name: 'c', margin: 3, verdict: 'pass' },
    ]);
    expect(baselineRuns(summaryOf({ method: 'break', cases: [found] }))[0].checks).toMatchObject([
      { margin: 15, value: 30, limit: 15 },
    ]);
  });

  it('of a thousand runs is a file of less than half a megabyte, and its table has them all', async () => {
    const points = Array.from({ length: 1000 }, (_, k) =>
      point(k + 1, {
        values: { seed: k, 'chuck.gear': k % 3 },
        ...(k % 10 === 0 ? { verdict: 'failed' as const, checks: [failing({ margin: -k - 1 })] } : {}),
      }),
    );
    const made = campaignTold(summaryOf({ points: 1000, runs: 1000 }), points);
    const text = pageOf(report(made.judged, { campaigns: [made] }));
    expect(text.length).toBeLessThan(500_000);
    expect(text).toContain('in 100 of 1000 runs; the worst of them:');
    expect(text).toContain('more runs; the table of results has all');
    const { parquetMetadata } = await import('hyparquet');
    expect(parquetMetadata(tableOf(made.played, { at: '', versions: {} })).num_rows).toBe(1000n);
  });
});

describe('a breaking point', () => {
  it('has a mark for every size that was tried, at its place, by shape', () => {
    const tried = triedOf(found, searched);
    expect(tried.map(({ size, verdict }) => [size, verdict])).toEqual([
      [0, 'pass'],
      [30, 'pass'],
      [31, 'fail'],
      [60, 'fail'],
    ]);
    const text = rulerSvg(found, tried, 'r')?.text ?? '';
    const rings = [...text.matchAll(/mark p" cx="([\d.]+)"/g)].map((m) => Number(m[1]));
    const crosses = [...text.matchAll(/mark f" d="M([\d.]+) /g)].map((m) => Number(m[1]) + 4);
    const because = 'coordinates have one digit after the point; four of them round';
    const scale = (crosses[1] - rings[0]) / 60;
    expectNear(rings[1] - rings[0], 30 * scale, { abs: 0.2, because });
    expectNear(crosses[0] - rings[0], 31 * scale, { abs: 0.2, because });
    const [, x, width] = /class="gap" x="([\d.]+)" y="[\d.]+" width="([\d.]+)"/.exec(text) ?? [];
    expectNear(Number(x), rings[1], { abs: 0.2, because });
    expectNear(Number(width), scale, { abs: 0.2, because });
    expect(text).toContain('asked for');
  });

  it('says on the page where it holds, with its tolerance, and that one flip is not true when it is not', () => {
    const odd = { ...found, monotone: false, contradicting: [45] };
    const made = campaignTold(summaryOf({ method: 'break', cases: [odd] }), searched);
    const text = pageOf(report(made.judged, { campaigns: [made], played: made.played }))
      .replaceAll('\u00a0', ' ')
      .replaceAll(/<[^>]+>/g, '');
    expect(text).toContain('holds at 30 %, does not at 31 %; asked for 15 %, margin 15 %.');
    const two = campaignTold(summaryOf({ method: 'break', cases: [odd, found] }), searched);
    const rows = pageOf(report(two.judged, { campaigns: [two] })).split('<tr role="row">');
    expect(rows.filter((row) => row.includes('not one flip')).length).toBe(1);
    expect(text).toContain('Tolerance 1 %, 4 runs. Not one flip: 45 % contradict; this bracket is one of several.');
  });
});

describe('margins of all runs', () => {
  const bars = (margins: readonly number[]) =>
    [...marginHistogram(margins).text.matchAll(/<rect class="(room|miss)" x="([\d.]+)"/g)].map(
      (m) => [m[1], Number(m[2])] as const,
    );
  const zeroOf = (margins: readonly number[]) =>
    Number(/limit" d="M([\d.]+) 0/.exec(marginHistogram(margins).text)?.[1]);

  it.each([[[-1e-9, 1]], [[-5, -1, 3]], [[0, 0]], [[-2, -1]], [[0.5, 7, 7]], [[-1, 1e-12]]])(
    'put what fails to the left of the limit and what holds to its right: %j',
    (margins) => {
      const zero = zeroOf(margins);
      const drawn = bars(margins);
      expect(drawn.some(([kind]) => kind === 'miss')).toBe(margins.some((each) => each < 0));
      expect(drawn.some(([kind]) => kind === 'room')).toBe(margins.some((each) => each >= 0));
      // The outermost positions of the line are moved in by one unit, to be seen.
      for (const [kind, x] of drawn)
        expect(kind === 'miss' ? x < zero : x >= zero - 1.5, `${kind} ${x} ${zero}`).toBe(true);
    },
  );

  it('hold for a hundred thousand runs', () => {
    expect(bars(Array.from({ length: 100_000 }, (_, k) => k)).length).toBe(40);
  });
});

describe('what varied', () => {
  const verdicts = ['passed', 'failed'] as const;

  it('stands across, faults stand down', () => {
    const points = ['a', 'b', 'a', 'b'].map((leg, k) =>
      point(k + 1, { values: { 'faults.1.leg': leg }, verdict: verdicts[k % 2], faults: k < 2 ? [] : point(1).faults }),
    );
    const [{ cells }] = crossings(campaignTold(summaryOf(), points));
    expect(cells).toEqual([
      { row: 'none began', column: 'a', letter: 'P' },
      { row: 'none began', column: 'b', letter: 'F' },
      { row: 'magnet-weak', column: 'a', letter: 'P' },
      { row: 'magnet-weak', column: 'b', letter: 'F' },
    ]);
  });

  it('falls into equal bins when it has many values, none left out', () => {
    const points = Array.from({ length: 101 }, (_, k) =>
      point(k + 1, { values: { seed: k, 'timeline.1.at': `${k} ms` } }),
    );
    const [{ cells, caption }] = crossings(campaignTold(summaryOf(), points));
    expect(caption).toBe('columns: timeline.1.at');
    const columns = [...new Set(cells.map(({ column }) => column))];
    expect(columns).toEqual(['0 to 20 ms', '20 to 40 ms', '40 to 60 ms', '60 to 80 ms', '80 to 100 ms']);
    expect(columns.map((column) => cells.filter((cell) => cell.column === column).length)).toEqual([
      20, 20, 20, 20, 21,
    ]);
  });
});
