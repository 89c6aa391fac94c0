/** Campaigns as reports take them: each point as a run; of a search each case as what is judged. */
import { onceMoreLine } from '../campaign/again.ts';
import type {
  BreakOutcome,
  CampaignSummary,
  CheckSummary,
  PointResult,
  RunRef,
  Values,
  WorstOutcome,
} from '../campaign/results.ts';
import { type CheckTold, type RunTold, runOf } from './model.ts';

/** What a campaign left behind. */
export interface CampaignTold {
  readonly summary: CampaignSummary;
  readonly points: readonly PointResult[];
  /** Each point as a run. */ readonly played: readonly RunTold[];
  /** What the campaign is judged by: its runs, or the cases of its search. */ readonly judged: readonly RunTold[];
}

/** What is known of a campaign beside its results. */
export interface CampaignFacts {
  /** Wall time of runs by their name. */ readonly wall_s?: ReadonlyMap<string, number>;
  /** What every reader has to know, beside the cautions of the campaign. */ readonly cautions?: readonly string[];
  /** Of the scenario, where a point does not vary it. */
  readonly scenario?: {
    readonly drill: string;
    readonly seed: number;
    readonly ordered: readonly string[];
    readonly requirements: readonly string[];
  };
}

export function campaignTold(
  summary: CampaignSummary,
  points: readonly PointResult[],
  { wall_s = new Map(), scenario, cautions = [] }: CampaignFacts = {},
): CampaignTold {
  const lists: readonly (readonly RunRef[])[] = [summary.failed, summary.invalid, summary.lost, summary.refused];
  const again = new Map(lists.flat().map((ref) => [ref.name, ref.again]));
  const head = { ...headOf(summary), ...scenario, cautions: [...summary.cautions, ...cautions] };
  const played = points.map((point) => {
    const name = point.run === 0 ? String(point.point) : `${point.point}.${point.run}`;
    const { seed, ...values } = point.values;
    const own = { ...point, point: values, wall_s: wall_s.get(name), ...varied(point.values) };
    return runOf(
      { ...head, ...own, ...(seed === undefined ? {} : { seed }) },
      `point ${name}`,
      again.get(name) ?? onceMoreLine(summary, summary, point),
    );
  });
  const judged = summary.cases.length === 0 ? played : summary.cases.map((each) => caseAsRun(each, head, points));
  return { summary, points, played, judged };
}

/** What a point varies of the head of its scenario. */
function varied({ drill, controller }: Values): object {
  return {
    ...(drill === undefined ? {} : { drill }),
    ...(controller === undefined ? {} : { controller: `builtin:${controller}` }),
  };
}

export const isSearch = ({ method }: CampaignSummary): boolean => method === 'break' || method === 'worst';

function headOf({ title, file, controller }: CampaignSummary): object {
  const inProcess = controller === '' || controller.startsWith('builtin:');
  return { title, scenario: file, controller, coupling: inProcess ? 'in-process' : 'lock-step' };
}

const ENDED = { pass: 'passed', fail: 'failed', 'not evaluated': 'not evaluated' } as const;

/** A case of a search, with one check: what it found. */
function caseAsRun(found: BreakOutcome | WorstOutcome, head: object, points: readonly PointResult[]): RunTold {
  const own = points.filter(({ point }) => point === found.case);
  const sum = (of: (each: PointResult) => number) => own.reduce((total, each) => total + of(each), 0);
  const run = {
    ...head,
    ...varied(found.values),
    seed: null,
    verdict: ENDED[found.verdict],
    why: found.verdict === 'not evaluated' ? whyOf(found) : '',
    point: found.values,
    board: own[0]?.board,
    firmware: own[0]?.firmware,
    virtual_s: sum((each) => each.virtual_s),
    lostTime_s: sum((each) => each.lostTime_s),
    checks: [found.kind === 'break' ? breakCheck(found) : worstCheck(found)],
  };
  return runOf(run, `case ${found.case}`, found.again);
}

const whyOf = (found: BreakOutcome | WorstOutcome): string => (found.kind === 'break' ? found.why : found.ended);

const EMPTY: Omit<CheckTold, 'name' | 'verdict' | 'unit' | 'value' | 'limit' | 'bound' | 'margin' | 'why'> = {
  at_s: null,
  signal: '',
  take: '',
  note: '',
  requirements: [],
};

function breakCheck(found: BreakOutcome): CheckTold {
  const { place, check, unit, verdict, asked, margin, holds, fails, why } = found;
  const upward = fails === null || holds === null || fails > holds;
  return {
    ...EMPTY,
    name: `${check === 'any' ? 'every check' : check}: breaking point of ${place}`,
    verdict,
    unit,
    value: holds,
    limit: asked,
    bound: upward ? 'at least' : 'at most',
    margin,
    why,
  };
}

function worstCheck(found: WorstOutcome): CheckTold {
  const { check, unit, verdict, margin, name, ended } = found;
  return {
    ...EMPTY,
    name: `${check}: least room, at run ${name}`,
    verdict,
    unit,
    value: null,
    limit: null,
    bound: null,
    margin,
    why: verdict === 'not evaluated' ? ended : '',
  };
}

/** One run that stands for all of a campaign: each check with its smallest margin. What two builds are compared by. */
export function smallestMargins(summary: CampaignSummary): RunTold {
  const checks = summary.checks.map((check: CheckSummary) => ({
    ...EMPTY,
    name: check.name,
    verdict: check.failed > 0 ? 'fail' : check.passed > 0 ? 'pass' : 'not evaluated',
    value: null,
    limit: null,
    bound: null,
    unit: check.unit,
    margin: check.margin?.smallest ?? null,
    signal: check.signal,
    why: '',
  }));
  return runOf({ ...headOf(summary), verdict: 'passed', checks }, summary.file);
}

/** Runs of a stored summary of a campaign, to compare with: its cases, or its smallest margins. */
export const baselineRuns = (summary: CampaignSummary): readonly RunTold[] =>
  isSearch(summary) ? campaignTold(summary, []).judged : [smallestMargins(summary)];

export const valuesText = (values: Values): string =>
  Object.entries(values)
    .map(([place, value]) => `${place} ${value}`)
    .join(', ');
