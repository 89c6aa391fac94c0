/** `campaign`: reads campaign and scenario, runs what is not on file yet on all cores, sums up. */
import { createHash } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { basename, dirname, join } from 'node:path';
import { conduct } from '../campaign/conduct.ts';
import { identityOf, resultHead } from '../campaign/head.ts';
import { type Jobs, jobsOf } from '../campaign/jobs.ts';
import { loadCampaign, type Plan } from '../campaign/load.ts';
import { Pool } from '../campaign/node-pool.ts';
import { ResultFile } from '../campaign/node-results.ts';
import type { CampaignSummary, ResultHead } from '../campaign/results.ts';
import { pointsOfShard, type Shard, shardOf, shardText } from '../campaign/shard.ts';
import { summarize } from '../campaign/summary.ts';
import { pointText } from '../campaign/trial.ts';
import { SetUpError } from '../links/errors.ts';
import { problemText } from '../scenario/source.ts';
import type { PlaySetting } from './campaign-play.ts';
import { onePoint } from './campaign-point.ts';
import { campaignProgress } from './campaign-progress.ts';
import { summaryLines } from './campaign-text.ts';
import { controllerChoice } from './controller-choice.ts';
import { EXIT_FAILED, EXIT_LOST, EXIT_PASSED, EXIT_SET_UP } from './exit.ts';
import { say, writeText } from './files.ts';
import { buildHash } from './node-build.ts';
import { includingFor } from './node-scenario.ts';
import { ReportFiles, type ReportOptions, shellWord } from './report-files.ts';
import { CAUTION } from './report-text.ts';

export interface CampaignOptions extends ReportOptions {
  readonly controller?: string;
  readonly jobs?: string;
  readonly shard?: string;
  readonly out?: string;
  readonly json?: string;
  readonly fresh?: boolean;
  readonly point?: string;
  readonly with?: readonly string[];
  readonly save?: string;
}

const WORKER = new URL('./node-campaign-worker.ts', import.meta.url);
const JOBS_MOST = 512;

/** Runs a campaign and returns the exit code. Throws SetUpError when the options cannot be followed. */
export async function campaign(file: string, options: CampaignOptions): Promise<number> {
  if (options.controller !== undefined) controllerChoice(options.controller);
  const plan = readPlan(file);
  if (plan === undefined) return EXIT_SET_UP;
  const setting: PlaySetting = { file: plan.scenarioFile, controller: options.controller };
  if (options.point !== undefined || options.with !== undefined) return onePoint(plan, setting, options);
  if (options.save !== undefined) throw new SetUpError('--save goes with --point or --with: it writes one scenario');
  return whole(plan, setting, options);
}

/** Reads a campaign with its scenario; says what is wrong with it and returns undefined when something is. */
export function readPlan(file: string): Plan | undefined {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    say(process.stderr, problemText({ file, line: 1, text: `cannot be read: ${(error as Error).message}` }));
    return undefined;
  }
  const result = loadCampaign(text, file, (named) => {
    const path = join(dirname(file), named);
    return { text: readFileSync(path, 'utf8'), file: path, including: includingFor(path) };
  });
  if (result.ok) return result.plan;
  for (const problem of result.problems) say(process.stderr, problemText(problem));
  say(process.stderr, 'nothing was run');
  return undefined;
}

async function whole(plan: Plan, setting: PlaySetting, options: CampaignOptions): Promise<number> {
  const jobs = jobsOf(plan);
  const shard = shardFrom(options.shard);
  const lanes = lanesFor(options);
  const head = headOf(plan, jobs, setting, shard);
  const left = new ReportFiles(options, commandOf(plan, options));
  const points = shard ? pointsOfShard(jobs.count, shard) : Array.from({ length: jobs.count }, (_, k) => k + 1);
  let results = openResults(plan, head, shard, options);
  if (!results.finished) {
    const ended = await run({ plan, jobs, points, lanes, setting, results });
    if (ended !== 'finished') {
      const summary = summaryOf(plan, results, points.length, false);
      leave(summary, options);
      const again = 'the same line goes on where it stopped';
      say(process.stderr, `${ended}; ${results.runs} runs are kept in ${results.path}; ${again}`);
      return EXIT_SET_UP;
    }
    results = results.finish();
  }
  const summary = summaryOf(plan, results, points.length, true);
  leave(summary, options);
  left.addCampaign(summary, results.inOrder(), results.times());
  left.finish();
  return exitOfCampaign(summary);
}

/** What to type to get the same again. */
function commandOf({ file }: Plan, { controller, shard }: CampaignOptions): string {
  const options = Object.entries({ controller, shard }).flatMap(([name, value]) =>
    value === undefined ? [] : [`--${name} ${shellWord(value)}`],
  );
  return ['npm run -s sim -- campaign', shellWord(file), ...options].join(' ');
}

/** A part of a campaign with nothing judged is no pass; a search that found what it looked for is one. */
export function exitOfCampaign({ verdicts, method, cases }: CampaignSummary): number {
  if (verdicts['set-up error'] > 0) return EXIT_SET_UP;
  if (method === 'break' || method === 'worst') {
    return cases.some(({ verdict }) => verdict !== 'pass') ? EXIT_FAILED : EXIT_PASSED;
  }
  if (verdicts['controller lost'] > 0) return EXIT_LOST;
  return verdicts.failed + verdicts.invalid > 0 ? EXIT_FAILED : EXIT_PASSED;
}

interface Work {
  readonly plan: Plan;
  readonly jobs: Jobs;
  readonly points: readonly number[];
  readonly lanes: number;
  readonly setting: PlaySetting;
  readonly results: ResultFile;
}

/** Resolves with how it ended. A first signal lets running points finish, a second drops them. */
async function run({ plan, jobs, points, lanes, setting, results }: Work): Promise<string> {
  const size = Math.max(1, Math.min(lanes, jobs.single ? points.length : JOBS_MOST));
  const pool = new Pool(size, WORKER, setting);
  const before = jobs.single ? points.filter((point) => results.has(point, 0)).length : 0;
  const progress = campaignProgress(points.length, before, process.stderr);
  let [done, bad, stopped] = [before, 0, ''];
  const stop = (signal: string) => {
    if (stopped !== '') void pool.close();
    else say(process.stderr, `\n${signal}: runs that are out will finish; once more drops them`);
    stopped = `stopped by ${signal}`;
  };
  process.on('SIGINT', stop);
  process.on('SIGTERM', stop);
  try {
    const finished = await conduct({
      jobs,
      points,
      lanes: pool.size,
      play: (values) => pool.play(pointText(plan.content, values)),
      known: (point, run) => (jobs.single ? results.has(point, run) || undefined : results.get(point, run)),
      keep(result, wall_s) {
        results.keep(result, wall_s);
        if (result.verdict !== 'passed') bad++;
        if (jobs.single) done++;
        progress.done(done, bad);
      },
      ended() {
        if (!jobs.single) done++;
      },
      stopped: () => stopped !== '',
    });
    return finished ? 'finished' : stopped;
  } finally {
    progress.end();
    process.off('SIGINT', stop);
    process.off('SIGTERM', stop);
    await pool.close();
  }
}

function openResults(plan: Plan, head: ResultHead, shard: Shard | undefined, options: CampaignOptions): ResultFile {
  const path = options.out ?? defaultPath(plan.file, shard);
  try {
    if (!existsSync(path) || options.fresh) return ResultFile.create(path, head);
    const found = ResultFile.open(path);
    const differs = (Object.keys(head) as (keyof ResultHead)[]).filter((key) => head[key] !== found.head[key]);
    if (differs.length > 0) {
      const what = differs.map(
        (key) => `${key} ${String(found.head[key]) || 'none'}, not ${String(head[key]) || 'none'}`,
      );
      throw new Error(
        `it belongs to something else (${what.join('; ')}); name another --out, or --fresh to begin anew`,
      );
    }
    for (const why of found.dropped) say(process.stderr, `${path}: ${why}`);
    const state = found.finished ? 'is complete; nothing is left to run' : 'goes on';
    say(process.stderr, `${path} ${state}: ${found.runs} runs are on file`);
    return found;
  } catch (error) {
    throw new SetUpError(`results ${path}: ${(error as Error).message}`);
  }
}

/** In the folder where the command is given, named after the campaign and the part. */
function defaultPath(file: string, shard: Shard | undefined): string {
  const name = basename(file).replace(/\.(ya?ml|json)$/, '');
  return shard ? `${name}.part-${shard.index}-of-${shard.count}.jsonl` : `${name}.jsonl`;
}

export function headOf(plan: Plan, jobs: Jobs, { controller }: PlaySetting, shard: Shard | undefined): ResultHead {
  const campaign = createHash('sha256').update(identityOf(plan, controller)).digest('hex');
  return resultHead({ plan, jobs, campaign, controller, build: buildHash(), shard });
}

export function summaryOf(plan: Plan, results: ResultFile, points: number, finished: boolean): CampaignSummary {
  const { head, path } = results;
  return summarize({ plan, head, results: path, points, finished, times: results.times() }, results.inOrder());
}

export function leave(summary: CampaignSummary, { json }: Pick<CampaignOptions, 'json'>): void {
  for (const line of summaryLines(summary)) say(process.stdout, line);
  say(process.stdout, CAUTION);
  if (json !== undefined) writeText('summary', json, `${JSON.stringify(summary, null, 2)}\n`);
}

function shardFrom(text: string | undefined): Shard | undefined {
  if (text === undefined) return undefined;
  try {
    const shard = shardOf(text, process.env);
    if (text.startsWith('env')) say(process.stderr, `part ${shardText(shard)}, from the environment`);
    return shard;
  } catch (error) {
    throw new SetUpError(`--shard ${(error as Error).message}`);
  }
}

/** All cores, unless the controller is a board that only one run at a time can have. */
function lanesFor({ jobs, controller }: CampaignOptions): number {
  const alone = controller !== undefined && !/^(builtin|exec):/.test(controller);
  if (jobs === undefined) return alone ? 1 : availableParallelism();
  const count = Number(jobs);
  if (!/^\d+$/.test(jobs) || count < 1 || count > JOBS_MOST) {
    throw new SetUpError(`--jobs ${jobs}: allowed is a whole number from 1 to ${JOBS_MOST}`);
  }
  if (alone && count > 1) throw new SetUpError(`--jobs ${jobs}: ${controller} is one board; allowed is 1`);
  return count;
}
