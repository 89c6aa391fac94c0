/** From the lines of a result file to the summary of a campaign. Lines are seen once, in their order; none is kept. */

import { onceMoreLine, withAgain } from './again.ts';
import { replay } from './conduct.ts';
import { jobsOf } from './jobs.ts';
import type { Plan } from './load.ts';
import { rateOf } from './rates.ts';
import {
  type CampaignSummary,
  type CheckSummary,
  type PointResult,
  type PointVerdict,
  type ResultHead,
  RUNS_LISTED,
  type RunRef,
  runName,
} from './results.ts';

/** Runs listed as the slowest. */
const SLOWEST = 10;

export interface Times {
  readonly name: string;
  readonly wall_s: number;
}

export interface SummaryFacts {
  readonly plan: Plan;
  readonly head: ResultHead;
  /** Result file as the user would name it. */ readonly results: string;
  /** Points of this part. */ readonly points: number;
  readonly finished: boolean;
  readonly times: Iterable<Times>;
}

export function summarize(facts: SummaryFacts, lines: Iterable<PointResult>): CampaignSummary {
  const { plan, head } = facts;
  const jobs = jobsOf(plan);
  const tally = new Tally(plan, head);
  const cases = new Map<number, PointResult[]>();
  for (const line of lines) {
    tally.see(line);
    if (jobs.single) continue;
    const own = cases.get(line.point) ?? [];
    if (own.length === 0) cases.set(line.point, own);
    own.push(line);
  }
  const outcomes = [...cases].flatMap(([point, results]) => {
    const found = replay(jobs.start(point), results);
    return found ? [withAgain(plan, head, found)] : [];
  });
  const { slowest, wall_s } = times(facts.times);
  const { campaign } = plan;
  const sampled = campaign.method === 'random' || campaign.method === 'hypercube';
  return {
    format: 'campaign summary',
    version: 1,
    title: campaign.title,
    file: plan.file,
    scenario: plan.scenarioFile,
    campaign: head.campaign,
    controller: head.controller,
    build: head.build,
    method: campaign.method,
    shard: head.shard,
    results: facts.results,
    points: facts.points,
    runs: tally.runs,
    finished: facts.finished,
    verdicts: tally.verdicts,
    rate: rateOf(tally.verdicts.passed, tally.verdicts.passed + tally.verdicts.failed),
    sampled,
    checks: tally.checks(),
    cases: outcomes,
    failed: tally.failed,
    invalid: tally.invalid,
    lost: tally.lost,
    refused: tally.refused,
    slowest,
    virtual_s: tally.virtual_s,
    wall_s,
    cautions: cautions(facts, tally, sampled),
  };
}

function cautions({ plan, finished }: SummaryFacts, tally: Tally, sampled: boolean): string[] {
  const found: string[] = [];
  if (!finished) found.push('the campaign is not finished: rates and margins are those of the runs so far');
  if (!sampled) {
    found.push(
      'the points are no random sample: the limits of the rates say how many were run, not how often it fails in use',
    );
  }
  if (plan.campaign.method === 'break') {
    found.push(
      'bisection assumes that a check flips once; sizes on both sides of the bracket were tried, not all of them',
    );
  }
  if (plan.campaign.method === 'worst')
    found.push('the search finds a place that is worse than its neighbors, not surely the worst');
  if (tally.verdicts.invalid > 0)
    found.push(`${tally.verdicts.invalid} runs are invalid and count neither as passed nor as failed`);
  return found;
}

type MutableVerdicts = Record<PointVerdict, number>;

interface CheckTally {
  readonly name: string;
  readonly unit: string;
  readonly signal: string;
  passed: number;
  failed: number;
  notEvaluated: number;
  readonly margins: number[];
  smallest: number;
  at: string;
}

class Tally {
  runs = 0;
  virtual_s = 0;
  readonly verdicts: MutableVerdicts = { passed: 0, failed: 0, invalid: 0, 'controller lost': 0, 'set-up error': 0 };
  readonly failed: RunRef[] = [];
  readonly invalid: RunRef[] = [];
  readonly lost: RunRef[] = [];
  readonly refused: RunRef[] = [];
  private readonly plan: Plan;
  private readonly head: ResultHead;
  private readonly byName = new Map<string, CheckTally>();

  constructor(plan: Plan, head: ResultHead) {
    this.plan = plan;
    this.head = head;
  }

  see(result: PointResult): void {
    this.runs++;
    this.virtual_s += result.virtual_s;
    this.verdicts[result.verdict]++;
    for (const check of result.checks) this.seeCheck(check, runName(result));
    const lists: Partial<Record<PointVerdict, RunRef[]>> = {
      failed: this.failed,
      invalid: this.invalid,
      'controller lost': this.lost,
      'set-up error': this.refused,
    };
    const list = lists[result.verdict];
    if (list && list.length < RUNS_LISTED) list.push(this.refOf(result));
  }

  checks(): CheckSummary[] {
    return [...this.byName.values()].map(
      ({ name, unit, signal, passed, failed, notEvaluated, margins, smallest, at }) => {
        margins.sort((a, b) => a - b);
        const middle = margins.length >> 1;
        const median = margins.length % 2 === 1 ? margins[middle] : (margins[middle - 1] + margins[middle]) / 2;
        const margin = margins.length === 0 ? null : { smallest, median, largest: margins[margins.length - 1], at };
        return { name, unit, signal, passed, failed, notEvaluated, rate: rateOf(passed, passed + failed), margin };
      },
    );
  }

  private seeCheck(check: PointResult['checks'][number], run: string): void {
    let tally = this.byName.get(check.name);
    if (!tally) {
      const { name, unit, signal } = check;
      tally = {
        name,
        unit,
        signal,
        passed: 0,
        failed: 0,
        notEvaluated: 0,
        margins: [],
        smallest: Number.POSITIVE_INFINITY,
        at: '',
      };
      this.byName.set(name, tally);
    }
    if (check.verdict === 'pass') tally.passed++;
    else if (check.verdict === 'fail') tally.failed++;
    else tally.notEvaluated++;
    if (check.margin === null || check.verdict === 'not evaluated') return;
    tally.margins.push(check.margin);
    if (check.margin < tally.smallest) {
      tally.smallest = check.margin;
      tally.at = run;
    }
  }

  private refOf(result: PointResult): RunRef {
    const failed = result.checks.filter(({ verdict }) => verdict === 'fail').map(({ name }) => name);
    const { values, verdict, why } = result;
    return { name: runName(result), values, verdict, why, failed, again: onceMoreLine(this.plan, this.head, result) };
  }
}

/** The longest runs and the sum of all; a run that was repeated counts as often as it was run. */
function times(all: Iterable<Times>): { slowest: Times[]; wall_s: number | null } {
  const slowest: Times[] = [];
  let wall_s: number | null = null;
  for (const { name, wall_s: own_s } of all) {
    wall_s = (wall_s ?? 0) + own_s;
    if (slowest.length === SLOWEST && own_s <= slowest[SLOWEST - 1].wall_s) continue;
    slowest.push({ name, wall_s: own_s });
    slowest.sort((a, b) => b.wall_s - a.wall_s);
    if (slowest.length > SLOWEST) slowest.pop();
  }
  return { slowest, wall_s };
}
