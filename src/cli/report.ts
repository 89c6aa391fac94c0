/** `report`: one report from results that were stored, of runs and of campaigns, of one build or of several machines. */
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { ResultFile } from '../campaign/node-results.ts';
import type { CampaignSummary } from '../campaign/results.ts';
import { SetUpError } from '../links/errors.ts';
import { say } from './files.ts';
import { isSummary, ReportFiles, type ReportOptions, shellWord } from './report-files.ts';
import { CAUTION } from './report-text.ts';

/** Makes the report and returns the exit code of what it tells. Throws SetUpError when a file cannot be read. */
export function reportFrom(files: readonly string[], options: ReportOptions): number {
  if (options.junit === undefined && options.html === undefined && options.parquet === undefined) {
    throw new SetUpError('report: nothing is asked for; allowed are --junit, --html, --parquet');
  }
  const read = files.map((file) => ({ file, content: contentOf(file) }));
  const left = new ReportFiles(options, ['npm run -s sim -- report', ...files.map(shellWord)].join(' '));
  for (const { file, content } of read) {
    if (isSummary(content)) addCampaign(left, file, content);
    else for (const run of listed(content)) add(left, file, run);
  }
  left.finish();
  say(process.stdout, CAUTION);
  return left.exit();
}

function contentOf(file: string): unknown {
  try {
    return JSON.parse(readFileSync(file, 'utf8'));
  } catch (error) {
    throw new SetUpError(`${file}: ${(error as Error).message}; allowed is what --json of run or campaign has written`);
  }
}

/** Runs of a result: the result itself, or those that it lists. */
function listed(content: unknown): readonly object[] {
  const runs = (content as { runs?: unknown } | null)?.runs;
  return Array.isArray(runs) ? runs : [content as object];
}

function add(left: ReportFiles, file: string, run: object): void {
  try {
    left.add(run, '');
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new SetUpError(`${file}: ${error.message}; allowed is what --json of run or campaign has written`);
  }
}

/** With the lines of the result file that the summary names: where it lies, or beside the summary. */
function addCampaign(left: ReportFiles, file: string, summary: CampaignSummary): void {
  const { results } = summary;
  const path = [results, join(dirname(file), results)].find((each) => existsSync(each));
  if (path === undefined) throw new SetUpError(`${file}: its result file ${results} is not there`);
  try {
    const lines = ResultFile.open(path);
    left.addCampaign(summary, lines.inOrder(), lines.times());
  } catch (error) {
    throw new SetUpError(`${path}: ${(error as Error).message}`);
  }
}
