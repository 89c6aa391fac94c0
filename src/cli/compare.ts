/** `compare`: two controllers play the same scenario with the same seed; one table, and on demand one plot. */
import { basename } from 'node:path';
import pc from 'picocolors';
import { LinkLostError, SetUpError } from '../links/errors.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { problemText } from '../scenario/source.ts';
import { plotSvg } from './compare-plot.ts';
import { sectionsOf, tableLines, tripsText } from './compare-rows.ts';
import { playSide, type Side, sideReport } from './compare-run.ts';
import { type ControllerChoice, choiceText, controllerChoice } from './controller-choice.ts';
import { EXIT_FAILED, EXIT_LOST, EXIT_PASSED, EXIT_SET_UP } from './exit.ts';
import { say, writeText } from './files.ts';
import { loadScenarioFile } from './node-scenario.ts';
import { setUpReport, unbegunReport } from './report-json.ts';
import { CAUTION, digits } from './report-text.ts';
import { cautionsOf } from './run-facts.ts';

export interface CompareOptions {
  readonly json?: string;
  /** Where to draw; true for a name made from both controllers, in the current folder. */
  readonly plot?: string | true;
}

const LETTERS = ['A', 'B'] as const;

/** Compares and returns the exit code. Throws SetUpError when names or options cannot be followed. */
export async function compare(a: string, b: string, file: string, options: CompareOptions): Promise<number> {
  const choices = [choiceOf('A', a), choiceOf('B', b)] as const;
  const scenario = load(file, options.json);
  if (scenario === undefined) return EXIT_SET_UP;
  const sides: Side[] = [];
  for (const [k, choice] of choices.entries()) {
    const letter = LETTERS[k];
    try {
      sides.push(await playSide(file, scenario, choice, letter));
    } catch (error) {
      return notCompared(error, { file, scenario, letter, controller: choiceText(choice), sides, json: options.json });
    }
  }
  const [sideA, sideB] = sides;
  const sections = sectionsOf(sideA, sideB, scenario.checks.length);
  for (const line of headLines(sides)) say(process.stdout, line);
  for (const line of tableLines(sections)) say(process.stdout, line === '' ? '' : `  ${line}`);
  for (const line of endLines(sides)) say(process.stdout, line);
  const plot = options.plot === true ? plotName(choices) : options.plot;
  if (plot !== undefined) {
    writeText('plot', plot, drawing(scenario, sideA, sideB));
    say(process.stdout, `  plot: ${plot}`);
  }
  say(process.stdout, CAUTION);
  const rows = sections.flatMap((section) => section.rows);
  const { title, drill, seed } = scenario;
  writeJson(options.json, { scenario: file, title, drill, seed, a: sideReport(sideA), b: sideReport(sideB), rows });
  return exitOfBoth(sides);
}

/** Both runs valid is all that a comparison asks for: it judges no check. */
function exitOfBoth(sides: readonly Side[]): number {
  const ended = sides.map(({ outcome }) => outcome.verdict);
  if (ended.includes('controller lost')) return EXIT_LOST;
  return ended.includes('invalid') ? EXIT_FAILED : EXIT_PASSED;
}

/** Reads the name of a side as --controller is read; the error says which of the two is meant. */
function choiceOf(letter: string, text: string): ControllerChoice {
  try {
    return controllerChoice(text);
  } catch (error) {
    if (!(error instanceof SetUpError)) throw error;
    throw new SetUpError(`controller ${letter}: ${error.message.replace(/^--controller /, '')}`);
  }
}

/** The scenario, or undefined after its problems are told. */
function load(file: string, json: string | undefined): Scenario | undefined {
  const result = loadScenarioFile(file);
  if (result.ok) return result.scenario;
  for (const problem of result.problems) say(process.stderr, problemText(problem));
  say(process.stderr, 'nothing was run');
  writeJson(json, setUpReport(file, result.problems));
  return undefined;
}

interface Ended {
  readonly file: string;
  readonly scenario: Scenario;
  readonly letter: string;
  readonly controller: string;
  readonly sides: readonly Side[];
  readonly json: string | undefined;
}

/** A side that never began: there is nothing to compare it with. */
function notCompared(error: unknown, { file, scenario, letter, controller, sides, json }: Ended): number {
  const lost = error instanceof LinkLostError;
  if (!lost && !(error instanceof SetUpError)) throw error;
  const lines = error.message.split('\n');
  for (const line of lines) say(process.stderr, `${file}: ${letter}: ${lost ? 'controller lost: ' : ''}${line}`);
  say(process.stderr, 'nothing was compared');
  const report = lost ? unbegunReport(file, scenario, controller, error.message) : setUpReport(file, lines);
  const other = sides.length === 1 ? { a: sideReport(sides[0]), b: report } : { a: report, b: null };
  writeJson(json, {
    scenario: file,
    title: scenario.title,
    drill: scenario.drill,
    seed: scenario.seed,
    ...other,
    rows: [],
  });
  return lost ? EXIT_LOST : EXIT_SET_UP;
}

function headLines(sides: readonly Side[]): string[] {
  const { file, scenario } = sides[0].facts;
  return [
    `${pc.bold(scenario.title)}  (${file})`,
    `  ${aboutText(scenario)}`,
    ...sides.map(({ facts: { controller, hello } }, k) => {
      return `  ${pc.bold(LETTERS[k])}  ${controller} (${hello.board}, firmware ${hello.firmware})`;
    }),
    '',
  ];
}

const aboutText = ({ drill, seed, duration_s }: Scenario): string =>
  `drill ${drill}, seed ${seed}, ${digits(duration_s)} s of virtual time`;

function endLines(sides: readonly Side[]): string[] {
  const ended = sides.flatMap(({ outcome }, k) =>
    outcome.why === '' ? [] : [`  ${pc.yellow(`${LETTERS[k]} ${outcome.verdict}`)}: ${outcome.why}`],
  );
  const cautions = sides.flatMap(({ facts, outcome }, k) =>
    cautionsOf(facts, outcome).map((text) => `  ${pc.yellow('caution')} ${LETTERS[k]}: ${text}`),
  );
  const trips = sides.flatMap(({ collected }, k) => {
    const text = tripsText(collected.trips.list);
    return text === '' ? [] : [`  - ${LETTERS[k]} tripped: ${text}`];
  });
  return [...trips, ...ended, ...cautions];
}

function drawing(scenario: Scenario, a: Side, b: Side): string {
  const side = ({ facts, outcome, traces }: Side) => ({
    controller: facts.controller,
    verdict:
      outcome.verdict === 'controller lost' ? `controller lost after ${digits(outcome.virtual_s)} s` : outcome.verdict,
    traces,
  });
  // A run that was cut short knows fewer presses: the longer one tells what the hand did.
  const { collected } = a.outcome.virtual_s >= b.outcome.virtual_s ? a : b;
  return plotSvg({
    title: scenario.title,
    about: aboutText(scenario),
    duration_s: scenario.duration_s,
    presses: collected.presses.list,
    sides: [side(a), side(b)],
  });
}

/** compare-A-B.svg, with what a file name can hold of each: the name, the program, or host and port. */
export function plotName(choices: readonly ControllerChoice[]): string {
  const parts = choices.map(({ kind, what }) => {
    const word = kind === 'exec' ? basename(what.trim().split(/\s+/)[0]) : what;
    return word.replaceAll(/[^\w.]+/g, '-').replaceAll(/^-+|-+$/g, '');
  });
  return `compare-${parts.join('-')}.svg`;
}

function writeJson(path: string | undefined, report: object): void {
  if (path !== undefined) writeText('result', path, `${JSON.stringify(report, null, 2)}\n`);
}
