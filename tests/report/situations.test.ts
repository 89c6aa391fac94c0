/** The matrix of faults and situations of a campaign: what a cell counts, which run is its worst, and the line that plays it. */
import { describe, expect, it } from 'vitest';
import type { CampaignSummary, PointResult } from '../../src/campaign/results.ts';
import { campaignTold } from '../../src/report/campaign.ts';
import { pageOf } from '../../src/report/page.ts';
import { metCells, situationsSection } from '../../src/report/sections/situations.ts';
import type { CheckResult } from '../../src/scenario/check.ts';
import { check, failing, report } from './told.ts';

const summary = {
  title: 'Faults by what the drill is doing',
  file: 'c/by situation.yaml',
  scenario: 'c/job.yaml',
  controller: 'builtin:sensorless',
  method: 'grid',
  shard: '',
  runs: 5,
  points: 5,
  verdicts: {},
  rate: { passed: 2, of: 5, share: null, low: null, high: null, atLeast: null, confidence: 0.95 },
  checks: [],
  cases: [],
  failed: [],
  invalid: [],
  lost: [],
  refused: [],
  cautions: [],
} as unknown as CampaignSummary;

function point(at: number, fault: string, met: string | undefined, margin: number): PointResult {
  const told = margin < 0 ? failing({ margin }) : check({ margin });
  return {
    point: at,
    run: 0,
    values: { 'faults.1.fault': fault },
    board: 'built-in board',
    firmware: 'six-step-1',
    verdict: margin < 0 ? 'failed' : 'passed',
    why: '',
    checks: [told as unknown as CheckResult],
    virtual_s: 0.25,
    lostTime_s: 0,
    energyResidual: 1e-8,
    stateHash: `hash${at}`,
    faults:
      met === undefined
        ? []
        : [{ at_s: 0.1, order: 0, fault, what: 'begins', ...(met === '' ? {} : { met }) } as never],
  };
}

const POINTS = [
  point(1, 'phase-open', 'fast', 40),
  point(2, 'phase-open', 'fast', -3.5),
  point(3, 'phase-open', 'fast', -7.25),
  point(4, 'phase-open', 'rest', 12),
  point(5, 'hall-low', undefined, 9),
];
const scenario = { drill: 'bench-18', seed: 1, ordered: ['phase-open'], requirements: [] };
const told = campaignTold(summary, POINTS, { scenario });
const text = (html: string) =>
  html
    .replaceAll('\u00a0', ' ')
    .replaceAll(/<[^>]+>/g, ' ')
    .replaceAll(/\s+/g, ' ');

describe('faults by situation', () => {
  it('has each run in the cell of what its fault met; one that never began is not hidden', () => {
    expect(metCells(told).map(({ row, column, letter }) => `${row}, ${column}: ${letter}`)).toEqual([
      'phase-open, fast: P',
      'phase-open, fast: F',
      'phase-open, fast: F',
      'phase-open, at rest: P',
      'hall-low, never began: P',
    ]);
  });

  it('counts a run once in a cell, however often its fault begins there', () => {
    const [twice] = [point(1, 'contact-bounces', 'slow', 1)];
    const points = [{ ...twice, faults: [...twice.faults, { ...twice.faults[0], at_s: 0.12 }] }];
    expect(metCells(campaignTold(summary, points))).toHaveLength(1);
  });

  it('shows how many of how many, the worst margin, and the line that plays that run', () => {
    const page = text(pageOf(report(told.judged, { campaigns: [told], played: told.played })));
    expect(page).toContain('Fault at rest fast never began phase-open');
    expect(page).toContain('F failed 2 of 3 \u22127.25 A');
    const again = "npm run -s sim -- campaign 'c/by situation.yaml' --controller builtin:sensorless --point 3";
    const shown = text(situationsSection(told, 'x')?.html.text ?? '').replaceAll('&apos;', "'");
    expect(shown).toContain(
      `phase-open, fast 1 of 3 \u22127.25 A, the phase current stays in its limit, 0.148 s ${again}`,
    );
    // The gravest first; of those that hold, the one with the least room.
    const order = ['phase-open, fast', 'hall-low, never began', 'phase-open, at rest'].map((each) =>
      shown.indexOf(each),
    );
    expect(order).toEqual([...order].sort((a, b) => a - b));
  });

  it('reads results that an older build left: nothing is claimed of what their faults met', () => {
    const old = point(1, 'phase-open', '', 4);
    expect(metCells(campaignTold(summary, [old]))[0].column).toBe('not recorded');
    expect(situationsSection(campaignTold(summary, [old]), 'x')).toBe(undefined);
    expect(situationsSection(campaignTold(summary, [old, point(2, 'phase-open', 'slow', 4)]), 'x')).toBeDefined();
  });
});
