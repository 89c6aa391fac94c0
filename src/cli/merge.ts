/** `merge`: puts the parts of a campaign together; the file has the bytes of a campaign that was run in one go. */
import { existsSync } from 'node:fs';
import { jobsOf } from '../campaign/jobs.ts';
import { ResultFile, writeOrdered } from '../campaign/node-results.ts';
import type { ResultHead } from '../campaign/results.ts';
import { SetUpError } from '../links/errors.ts';
import { exitOfCampaign, headOf, leave, readPlan, summaryOf } from './campaign.ts';
import { EXIT_SET_UP } from './exit.ts';

export interface MergeOptions {
  readonly campaign: string;
  readonly out: string;
  readonly json?: string;
  readonly fresh?: boolean;
}

/** Returns the exit code of the whole campaign. Throws SetUpError when the parts do not make a whole. */
export function merge(files: readonly string[], options: MergeOptions): number {
  const plan = readPlan(options.campaign);
  if (plan === undefined) return EXIT_SET_UP;
  const parts = files.map(open);
  const [first] = parts;
  const jobs = jobsOf(plan);
  // Parts may come from a machine with another build than this one, but all from the same.
  const head: ResultHead = {
    ...headOf(plan, jobs, { file: plan.scenarioFile, controller: first.head.controller || undefined }, undefined),
    build: first.head.build,
  };
  for (const { path, head: own, finished } of parts) {
    const differs = (Object.keys(head) as (keyof ResultHead)[]).find(
      (key) => key !== 'shard' && own[key] !== head[key],
    );
    if (differs)
      throw new SetUpError(
        `${path} is no part of ${options.campaign}: ${differs} is ${own[differs]}, not ${head[differs]}`,
      );
    if (!finished)
      throw new SetUpError(`${path} is not finished; give its line again, and it goes on where it stopped`);
  }
  wholeOrThrow(parts);
  if (existsSync(options.out) && !options.fresh) throw new SetUpError(`${options.out} exists; --fresh replaces it`);
  try {
    writeOrdered(options.out, head, inTurn(parts, jobs.count));
  } catch (error) {
    throw new SetUpError(`cannot write the results to ${options.out}: ${(error as Error).message}`);
  }
  const summary = summaryOf(plan, ResultFile.open(options.out), jobs.count, true);
  leave(summary, options);
  return exitOfCampaign(summary);
}

function open(path: string): ResultFile {
  try {
    return ResultFile.open(path);
  } catch (error) {
    throw new SetUpError(`part ${path}: ${(error as Error).message}`);
  }
}

/** Each of n parts once. */
function wholeOrThrow(parts: readonly ResultFile[]): void {
  const count = Number(parts[0].head.shard.split('/')[1] ?? 1);
  const seen = new Map<string, string>();
  for (const { path, head } of parts) {
    const other = seen.get(head.shard);
    if (other !== undefined) throw new SetUpError(`${path} and ${other} are both part ${head.shard || '1/1'}`);
    seen.set(head.shard, path);
    const [, of = '1'] = head.shard.split('/');
    if (Number(of) !== count) throw new SetUpError(`${path} is part ${head.shard}; allowed are parts of ${count}`);
  }
  const missing = Array.from({ length: count }, (_, k) => `${k + 1}/${count}`).filter((part) => !seen.has(part));
  if (count > 1 && missing.length > 0) throw new SetUpError(`parts are missing: ${missing.join(', ')}`);
}

/** The lines of all parts by point: part i of n holds the points i, i + n, i + 2 n and so on, each with all its runs. */
function* inTurn(parts: readonly ResultFile[], points: number): Generator<string> {
  const byShard = [...parts].sort((a, b) => Number.parseInt(a.head.shard, 10) - Number.parseInt(b.head.shard, 10));
  const readers = byShard.map((part) => part.byPoint());
  for (let point = 1; point <= points; point++) {
    const reader = readers[(point - 1) % readers.length];
    const lines = reader.next();
    if (!lines.done) yield* lines.value;
  }
}
