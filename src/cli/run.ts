/** `run`: reads every file before anything moves, plays one after the other, reports. */
import { performance } from 'node:perf_hooks';
import { LinkLostError, SetUpError } from '../links/errors.ts';
import { lineFigures } from '../links/line-figures.ts';
import type { RunWatch } from '../report/watch.ts';
import { benchOptions } from '../runner/bench-options.ts';
import { type Outcome, play } from '../runner/play.ts';
import type { Twin } from '../runner/twin.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { type Problem, problemText } from '../scenario/source.ts';
import { type ControllerChoice, choiceText, controllerChoice } from './controller-choice.ts';
import { type CouplingChoice, couplingChoice } from './coupling-choice.ts';
import { EXIT_SET_UP, exitOf, type FileVerdict, worstExit } from './exit.ts';
import { say, writeText } from './files.ts';
import { couple, type Tie } from './node-couple.ts';
import { coupleRateSplit } from './node-couple-rate-split.ts';
import { type Recorder, rateOf, recorderFor } from './node-record.ts';
import { endFacts, headerFacts } from './node-record-facts.ts';
import { loadScenarioFile } from './node-scenario.ts';
import { hasTwin, type TwinWish, twinOf } from './node-twin.ts';
import { progressFor } from './progress.ts';
import { ReportFiles, type ReportOptions, shellWord } from './report-files.ts';
import { reportText, runReport, setUpReport, unbegunReport } from './report-json.ts';
import { CAUTION, runLines } from './report-text.ts';
import type { RunFacts } from './run-facts.ts';

export interface RunOptions extends ReportOptions {
  readonly controller?: string;
  readonly coupling?: string;
  readonly rate?: string;
  readonly json?: string;
  readonly record?: string;
  readonly recordRate?: string;
  readonly twin?: TwinWish;
}

interface Loaded {
  readonly file: string;
  readonly scenario: Scenario;
}

interface Ready extends Loaded {
  readonly driver: ControllerChoice;
  readonly coupling: CouplingChoice;
}

/** Runs the files and returns the exit code. Throws SetUpError when the options cannot be followed. */
export async function runFiles(files: readonly string[], options: RunOptions): Promise<number> {
  if (options.record !== undefined && files.length > 1) {
    throw new SetUpError(`--record ${options.record}: ${files.length} files are given; allowed is one`);
  }
  if (options.recordRate !== undefined) {
    if (options.record === undefined) throw new SetUpError(`--record-rate ${options.recordRate}: there is no --record`);
    if (options.recordRate !== 'full') rateOf(options.recordRate);
  }
  const left = new ReportFiles(options, again(files.map(shellWord).join(' '), options));
  const choice = options.controller === undefined ? undefined : controllerChoice(options.controller);
  const read = files.map(load);
  const bad = read.filter((each) => 'problems' in each);
  if (bad.length > 0) {
    for (const { problems } of bad) for (const problem of problems) say(process.stderr, problemText(problem));
    say(process.stderr, 'nothing was run');
    const refused = bad.map(({ file, problems }) => ({ file, report: setUpReport(file, problems) }));
    for (const { file, report } of refused) left.add(report, again(shellWord(file), options));
    writeReports(
      options.json,
      refused.map(({ report }) => report),
    );
    left.finish();
    return EXIT_SET_UP;
  }
  const reports: object[] = [];
  const verdicts: FileVerdict[] = [];
  const ready = (read as Loaded[]).map((loaded) => {
    const driver: ControllerChoice = choice ?? { kind: 'builtin', what: loaded.scenario.controller };
    const coupling = couplingChoice(options.coupling, options.rate, driver);
    if (coupling.coupling === 'rate-split' && loaded.scenario.faults?.length)
      throw new SetUpError(`${loaded.file}: faults cannot be injected in rate-split: the motor turns elsewhere`);
    return { ...loaded, driver, coupling };
  });
  for (const each of ready) {
    const { report, verdict, watch } = await runOne(each, options, left);
    left.add(report, again(shellWord(each.file), options), each.scenario, watch);
    reports.push(report);
    verdicts.push(verdict);
  }
  say(process.stdout, CAUTION);
  writeReports(options.json, reports);
  left.finish();
  return worstExit(verdicts.map(exitOf));
}

function load(file: string): Loaded | { readonly file: string; readonly problems: readonly Problem[] } {
  const result = loadScenarioFile(file);
  return result.ok ? { file, scenario: result.scenario } : { file, problems: result.problems };
}

async function runOne(
  { file, scenario, driver: choice, coupling }: Ready,
  { record, recordRate, twin: wish }: RunOptions,
  left: ReportFiles,
): Promise<{ report: object; verdict: FileVerdict; watch?: RunWatch | undefined }> {
  const options = benchOptions(scenario);
  const { board } = options;
  const controller = choiceText(choice);
  try {
    const twin = hasTwin(scenario, choice, wish) ? await twinOf(scenario, choice, options) : undefined;
    const tie: Tie =
      coupling.coupling === 'rate-split'
        ? await coupleRateSplit(choice, options, coupling.rate_Hz)
        : await couple(choice, options);
    const watch = left.watch(scenario, tie.bench.plant.period_s);
    const recorder = () => {
      if (record === undefined) return undefined;
      const { bench } = tie;
      const run = headerFacts({ file, scenario, controller, drill: options.drill, bench });
      return recorderFor({ path: record, rate: recordRate, tick_s: bench.plant.period_s, run, absent: bench.absent });
    };
    const { outcome, wall_s } = await playTied(scenario, tie, recorder, watch, twin);
    const { hello } = tie.bench;
    const facts: RunFacts = {
      file,
      scenario,
      controller,
      hello,
      board,
      wall_s,
      link: tie.link?.counters,
      line: lineFigures(tie.link),
    };
    for (const line of runLines(facts, outcome)) say(process.stdout, line);
    return { report: runReport(facts, outcome), verdict: outcome.verdict, watch };
  } catch (error) {
    if (error instanceof LinkLostError) {
      say(process.stdout, `${scenario.title}  (${file})\n  controller lost: ${error.message}; no check was evaluated`);
      return {
        report: unbegunReport(file, scenario, controller, error.message, coupling.coupling),
        verdict: 'controller lost',
      };
    }
    if (!(error instanceof SetUpError)) throw error;
    const lines = error.message.split('\n');
    for (const line of lines) say(process.stderr, `${file}: ${line}`);
    return { report: setUpReport(file, lines), verdict: 'set-up error' };
  }
}

/** Plays to the end, whatever ends it, and leaves neither a process nor a half-written recording behind. */
async function playTied(
  scenario: Scenario,
  { bench, close }: Tie,
  recorder: () => Recorder | undefined,
  watch: RunWatch | undefined,
  twin: Twin | undefined,
): Promise<{ outcome: Outcome; wall_s: number }> {
  let kept: Recorder | undefined;
  let ended: Outcome | undefined;
  const progress = progressFor(scenario.title, process.stderr);
  try {
    kept = recorder();
    const began_ms = performance.now();
    ended = await play(scenario, bench, {
      twin,
      tick: (sample) => {
        watch?.see(sample, bench.plant.hands.get('direction'));
        kept?.see(bench.plant.tick, sample);
      },
      progress: (share) => {
        progress.show(share);
        return new Promise((next) => setImmediate(next)); // lets signals and sockets have their turn
      },
    });
    return { outcome: ended, wall_s: (performance.now() - began_ms) / 1000 };
  } finally {
    progress.end();
    await close();
    kept?.close(ended && endFacts(ended));
    if (kept && kept.trouble !== '') {
      say(process.stderr, `the recording ends ${kept.trouble}; the run went on without it`);
    }
  }
}

/** The command that plays these files again with the same controller. */
function again(files: string, { controller, coupling, rate, twin }: RunOptions): string {
  const options = Object.entries({ controller, coupling, rate }).flatMap(([name, value]) =>
    value === undefined ? [] : [`--${name} ${shellWord(value)}`],
  );
  const wish = twin === undefined ? [] : [twin ? '--twin' : '--no-twin'];
  return ['npm run -s sim -- run', files, ...options, ...wish].join(' ');
}

function writeReports(path: string | undefined, reports: readonly object[]): void {
  if (path !== undefined) writeText('result', path, reportText(reports));
}
