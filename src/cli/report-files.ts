/**
 * The files that a command leaves beside its exit code. Before anything runs they are written once with the news that
 * nothing ended yet, so that a run that is killed leaves neither the green of an older build nor nothing at all.
 */
import { createHash } from 'node:crypto';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import type { CampaignSummary, PointResult } from '../campaign/results.ts';
import type { Times } from '../campaign/summary.ts';
import { SetUpError } from '../links/errors.ts';
import { sheetOf } from '../plant/describe/sheet.ts';
import { PRESETS } from '../plant/presets/index.ts';
import { PROTOCOL_VERSION } from '../protocol/limits.ts';
import { baselineRuns, type CampaignFacts, type CampaignTold, campaignTold } from '../report/campaign.ts';
import { junitOf } from '../report/junit.ts';
import { type RunTold, runOf, runsOf } from '../report/model.ts';
import { pageOf } from '../report/page.ts';
import type { Report, Watched } from '../report/report.ts';
import { tableOf } from '../report/table.ts';
import type { Baseline } from '../report/trend.ts';
import { limitLines, RunWatch } from '../report/watch.ts';
import { readXml } from '../report/xml-check.ts';
import type { Outcome } from '../runner/play.ts';
import { loadScenario } from '../scenario/load.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { exitOf, type FileVerdict, worstExit } from './exit.ts';
import { say } from './files.ts';
import { CAUTION } from './report-text.ts';

export interface ReportOptions {
  readonly junit?: string;
  readonly html?: string;
  readonly parquet?: string;
  readonly baseline?: string;
}

const UNENDED = 'the command did not come to its end';

export class ReportFiles {
  private readonly options: ReportOptions;
  private readonly command: string;
  private readonly baseline: Baseline | undefined;
  private readonly runs: RunTold[] = [];
  private readonly played: RunTold[] = [];
  private readonly campaigns: CampaignTold[] = [];
  private readonly watched = new Map<RunTold, Watched>();
  private readonly files = new Map<string, string>();

  /**
   * Throws SetUpError when a file cannot be written or the baseline cannot be read.
   *
   * @param command what to type to get the same again
   */
  constructor(options: ReportOptions, command: string) {
    this.options = options;
    this.command = command;
    this.baseline = options.baseline === undefined ? undefined : readBaseline(options.baseline);
    if (options.baseline !== undefined && options.html === undefined) {
      throw new SetUpError(`--baseline ${options.baseline}: it is laid beside the runs of --html, which is not given`);
    }
    const { junit, html, parquet } = options;
    const unended = [runOf({ verdict: 'invalid', why: UNENDED, title: command }, 'the command')];
    if (junit !== undefined) put('junit', junit, junitOf(unended, this.junitFacts()).text);
    if (html !== undefined)
      put('html', html, pageOf({ ...this.report(), title: command, runs: unended, played: unended }));
    if (parquet !== undefined) {
      put('parquet', parquet, '');
      rmSync(parquet); // an older table must not pass for this one
    }
  }

  /** Follows a run for its plots; undefined when none are asked for. */
  watch({ checks, duration_s }: Scenario, tick_s: number): RunWatch | undefined {
    if (this.options.html === undefined) return undefined;
    return new RunWatch(signalsOf(checks), duration_s, tick_s);
  }

  /** Takes a result as --json tells it. @param again one line that plays it again */
  add(result: object, again: string, scenario?: Scenario, watch?: RunWatch): void {
    const ordered = (scenario?.faults ?? []).map(({ fault }) => fault);
    const run = runOf({ ordered, ...result }, 'the result', again);
    this.runs.push(run);
    this.played.push(run);
    this.noteFile(run.file);
    if (!watch || !scenario) return;
    watch.end();
    const { faults = [] } = result as Partial<Pick<Outcome, 'faults'>>;
    const began_s = (order: number) => faults.find((each) => each.order === order && each.what === 'begins')?.at_s;
    this.watched.set(run, { watch, limits: limitLines(scenario.checks, scenario.duration_s, began_s) });
  }

  /** Takes what a campaign left behind. @param times wall time of its runs, where it is known */
  addCampaign(summary: CampaignSummary, points: Iterable<PointResult>, times: Iterable<Times> = []): void {
    const wall_s = new Map([...times].map((time) => [time.name, time.wall_s]));
    const scenario = scenarioFacts(summary.scenario);
    const told = campaignTold(summary, [...points], { wall_s, cautions: [CAUTION], ...(scenario ? { scenario } : {}) });
    this.campaigns.push(told);
    for (const run of told.judged) this.runs.push(run);
    for (const run of told.played) this.played.push(run);
    this.noteFile(summary.file);
    this.noteFile(summary.scenario);
  }

  /** Worst verdict of all that was taken, as an exit code. */
  exit(): number {
    return worstExit(this.runs.map(({ verdict }) => exitOf(verdict as FileVerdict)));
  }

  /**
   * Writes all files. Never throws: what cannot be written is said on stderr, and the exit code of the command stays what
   * the runs made it.
   */
  finish(): void {
    const { junit, html, parquet } = this.options;
    if (junit !== undefined) attempt('junit', junit, () => this.writeJunit(junit));
    if (html !== undefined) attempt('html', html, () => writeFileSync(html, pageOf(this.report())));
    if (parquet !== undefined) {
      const facts = { at: now(), versions: this.versions() };
      attempt('parquet', parquet, () => writeFileSync(parquet, new Uint8Array(tableOf(this.played, facts))));
    }
  }

  /** Writes, reads back from the disk, and compares what a build server would count with what was judged. */
  private writeJunit(path: string): void {
    const { text, cases, red } = junitOf(this.runs, this.junitFacts());
    writeFileSync(path, text);
    const read = readXml(readFileSync(path, 'utf8'));
    if (!read.ok) throw new Error(`read back, line ${read.line}: ${read.why}`);
    const { testcase = 0, failure = 0, error = 0 } = read.counts;
    if (testcase !== cases || failure + error !== red) {
      throw new Error(`read back: ${testcase} cases, ${failure + error} red; written were ${cases}, ${red} red`);
    }
  }

  private junitFacts() {
    const ofRun = (run: RunTold) => this.hashesOf(run);
    return { at: now(), properties: this.versions(), ofRun };
  }

  private report(): Report {
    const { runs, played, campaigns, watched, baseline, command } = this;
    const titles = [...new Set(runs.map(({ title }) => title))];
    const drills = [...new Set(played.map(({ drill }) => drill))].filter((name) => Object.hasOwn(PRESETS, name));
    const hashes = [...this.files].map(([file, hash]) => [`sha256 of ${file}`, hash]);
    const sheets = drills.map((name) => sheetOf(PRESETS[name]));
    const drillHashes = drills.map((name) => [`sha256 of drill ${name}`, drillHash(name)]);
    return {
      title: titles.length === 1 ? titles[0] : titleOf(runs, titles.length, kindsOf(runs, campaigns)),
      at: now(),
      command,
      versions: { ...this.versions(), ...Object.fromEntries([...hashes, ...drillHashes]) },
      runs,
      played,
      campaigns,
      watched,
      sheets,
      baseline,
    };
  }

  private versions(): Record<string, string> {
    return { program: PROGRAM, protocol: `version ${PROTOCOL_VERSION}`, 'Node.js': process.version };
  }

  private hashesOf({ file, drill }: RunTold): Record<string, string> {
    const hash = this.files.get(file);
    return {
      ...(hash === undefined ? {} : { 'scenario sha256': hash }),
      ...(Object.hasOwn(PRESETS, drill) ? { 'drill sha256': drillHash(drill) } : {}),
    };
  }

  private noteFile(file: string): void {
    if (this.files.has(file)) return;
    try {
      this.files.set(file, sha256(readFileSync(file)));
    } catch {
      // A file that cannot be read was reported as a set-up error; it has no hash.
    }
  }
}

const PROGRAM = (() => {
  const { name, version } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8'));
  return `${name} ${version}`;
})();

const now = (): string => new Date().toISOString().replace(/\.\d+Z$/, 'Z');
const sha256 = (content: string | Buffer): string => createHash('sha256').update(content).digest('hex');
const drillHash = (name: string): string => sha256(JSON.stringify(PRESETS[name]));

function kindsOf(runs: readonly RunTold[], campaigns: readonly CampaignTold[]): string {
  if (campaigns.length === 0) return 'scenarios';
  return runs.every((run) => campaigns.some(({ judged }) => judged.includes(run)))
    ? 'campaigns'
    : 'campaigns and scenarios';
}

/** What several scenarios have in common. */
function titleOf(runs: readonly RunTold[], count: number, what: string): string {
  const one = (word: string, names: readonly string[]) =>
    new Set(names).size === 1 && names[0] !== '' ? ` ${word} ${names[0]}` : '';
  const drill = one(
    'on',
    runs.map(({ drill }) => drill),
  );
  return `${count} ${what}${drill}${one(
    'with',
    runs.map(({ controller }) => controller),
  )}`;
}

/** Signals that checks look at, in the order of the checks. */
function signalsOf(checks: readonly { readonly signal?: string }[]): string[] {
  return checks.flatMap(({ signal }) => (signal === undefined ? [] : [signal]));
}

export const isSummary = (read: unknown): read is CampaignSummary =>
  (read as CampaignSummary | null)?.format === 'campaign summary';

/** What a report takes from the scenario of a campaign; undefined when the file is not there any more. */
function scenarioFacts(file: string): NonNullable<CampaignFacts['scenario']> | undefined {
  try {
    const read = loadScenario(readFileSync(file, 'utf8'), file);
    if (!read.ok) return undefined;
    const { drill, seed, faults = [] } = read.scenario;
    return { drill, seed, ordered: faults.map(({ fault }) => fault), requirements: [] };
  } catch {
    return undefined;
  }
}

function readBaseline(file: string): Baseline {
  try {
    const read = JSON.parse(readFileSync(file, 'utf8'));
    return { file, runs: isSummary(read) ? baselineRuns(read) : runsOf(read) };
  } catch (error) {
    const why = (error as Error).message;
    throw new SetUpError(`--baseline ${file}: ${why}; allowed is what an earlier --json has written`);
  }
}

function put(option: string, path: string, text: string): void {
  try {
    writeFileSync(path, text);
  } catch (error) {
    throw new SetUpError(`--${option} ${path}: cannot be written: ${(error as Error).message}`);
  }
}

function attempt(option: string, path: string, work: () => void): void {
  try {
    work();
  } catch (error) {
    say(process.stderr, `--${option} ${path}: ${(error as Error).message}; the exit code stands without it`);
  }
}

/** A word for a shell, quoted only where it must be. */
export const shellWord = (word: string): string =>
  /^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
