/** Reports of what was played in the page: the same pages and the same XML that the command line writes. */

import { jobsOf } from '../src/campaign/jobs.ts';
import type { Plan } from '../src/campaign/load.ts';
import type { PointResult, ResultHead } from '../src/campaign/results.ts';
import { summarize } from '../src/campaign/summary.ts';
import { sheetOf } from '../src/plant/describe/sheet.ts';
import { PRESETS } from '../src/plant/presets/index.ts';
import { PROTOCOL_VERSION } from '../src/protocol/limits.ts';
import { type CampaignTold, campaignTold } from '../src/report/campaign.ts';
import { CAUTION } from '../src/report/caution.ts';
import { junitOf } from '../src/report/junit.ts';
import { type RunTold, runOf } from '../src/report/model.ts';
import { pageOf } from '../src/report/page.ts';
import type { Watched } from '../src/report/report.ts';
import { type Kept, limitsOf } from './play-file.ts';
import type { ReportKind } from './runs-api.ts';

const VERSIONS = { program: 'phantom-spindle, in the page', protocol: `version ${PROTOCOL_VERSION}` };

const now = (): string => new Date().toISOString().replace(/\.\d+Z$/, 'Z');

/** The run as a whole file. */
export function runReport(
  kind: ReportKind,
  { file, scenario, controller, hello, outcome, watch, ended }: Kept,
): string {
  const command = `npm run -s sim -- run ${file}`;
  const told = {
    ...outcome,
    rate_Hz: outcome.rate_Hz ?? null,
    wall_s: ended.wall_s,
    scenario: file,
    title: scenario.title,
    drill: scenario.drill,
    controller,
    board: hello.board,
    firmware: hello.firmware,
    seed: scenario.seed,
    step_s: scenario.step_s,
    ordered: (scenario.faults ?? []).map(({ fault }) => fault),
    requirements: scenario.requirements ?? [],
    cautions: [CAUTION],
  };
  const run = runOf(told, 'the run', command);
  const watched = new Map([[run, { watch, limits: limitsOf(scenario, outcome) }]]);
  return written(kind, { title: scenario.title, command, runs: [run], played: [run], campaigns: [], watched });
}

/** The campaign as a whole file. */
export function campaignReport(
  kind: ReportKind,
  plan: Plan,
  results: readonly PointResult[],
  finished: boolean,
): string {
  const { count } = jobsOf(plan);
  const head: ResultHead = {
    format: 'campaign results',
    version: 1,
    title: plan.campaign.title,
    campaign: '',
    controller: '',
    points: count,
    build: '',
    shard: '',
  };
  const summary = summarize({ plan, head, results: '', points: count, finished, times: [] }, results);
  const { drill, seed, faults = [], requirements = [] } = plan.scenario;
  const scenario = { drill, seed, ordered: faults.map(({ fault }) => fault), requirements: [...requirements] };
  const told = campaignTold(summary, results, { cautions: [CAUTION], scenario });
  const command = `npm run -s sim -- campaign ${plan.file}`;
  const { judged: runs, played } = told;
  return written(kind, { title: plan.campaign.title, command, runs, played, campaigns: [told], watched: new Map() });
}

interface Content {
  readonly title: string;
  readonly command: string;
  readonly runs: readonly RunTold[];
  readonly played: readonly RunTold[];
  readonly campaigns: readonly CampaignTold[];
  readonly watched: ReadonlyMap<RunTold, Watched>;
}

function written(kind: ReportKind, content: Content): string {
  if (kind === 'junit') return junitOf(content.runs, { at: now(), properties: VERSIONS }).text;
  const drills = [...new Set(content.played.map(({ drill }) => drill))].filter((name) => Object.hasOwn(PRESETS, name));
  const sheets = drills.map((name) => sheetOf(PRESETS[name]));
  return pageOf({ ...content, at: now(), versions: VERSIONS, sheets });
}
