/** `bring-up`: puts one thing at a time on the pins of a board and shows counts, SI and what the board makes of it. */
import pc from 'picocolors';
import { BringUp, type BringUpStep } from '../examine/bring-up.ts';
import { INPUTS, type Injection, pinsOf } from '../examine/injections.ts';
import { Broken } from '../examine/subject.ts';
import type { WatchRow } from '../examine/watch-rows.ts';
import { CAUTION, legsText, stateText, tripText } from '../examine/words.ts';
import { SetUpError } from '../links/errors.ts';
import { LINK_KINDS, openWire } from '../links/node-kinds.ts';
import { readWithUnit } from '../scenario/quantity.ts';
import { boardPlace, helloText, packVoltage_V } from './board-named.ts';
import { EXIT_FAILED, EXIT_LOST, EXIT_PASSED } from './exit.ts';
import { say } from './files.ts';
import { checkInjection, readInjection } from './injection-text.ts';
import { wrapped } from './lines-text.ts';
import { type TourStop, tourFor } from './tour.ts';

export interface BringUpOptions {
  readonly only?: string;
  readonly with?: readonly string[];
  readonly all?: boolean;
  readonly for: string;
  readonly pack?: string;
}

/** Longest time of one step [s]. */
const FOR_MOST_S = 600;

/** Runs the command and returns its exit code. */
export async function bringUp(text: string, options: BringUpOptions): Promise<number> {
  const place = boardPlace('bring-up', text);
  const link_V = packVoltage_V(options.pack);
  const for_s = duration_s(options.for);
  if ((options.only === undefined) === (options.all !== true)) {
    const names = Object.keys(INPUTS).join(', ');
    throw new SetUpError(`bring-up: say what to inject, --only ia=10A, or --all for a tour; names are ${names}`);
  }
  if (options.only !== undefined) checkInjection('--only', options.only);
  for (const each of options.with ?? []) checkInjection('--with', each);

  const out = process.stdout;
  say(out, pc.bold(`Bring-up of ${text}`));
  for (const line of wrapped('  Caution. ', CAUTION, '  ')) say(out, pc.yellow(line));
  say(out, '');
  const wire = await openWire(place);
  try {
    const board = await BringUp.open(wire, { link_V });
    for (const line of wrapped('  ', helloText(board.hello))) say(out, line);
    const around = (options.with ?? []).map((each) => readInjection('--with', each, board.hello));
    const stops = stopsOf(options, board);
    let odd = 0;
    for (const [k, stop] of stops.entries()) {
      const step = await board.step([...around, ...stop.injections], for_s);
      odd += step.rows.filter(({ hint }) => hint !== '').length;
      const place = options.all ? `${k + 1}/${stops.length}  ` : '';
      for (const line of stepLines(step, stop, around, place)) say(out, line);
    }
    say(out, '');
    for (const note of board.probe.notes.slice(-NOTES_SHOWN))
      for (const line of wrapped('  note: ', note)) say(out, line);
    say(
      out,
      `  ${odd === 0 ? pc.green('no watch value deviates') : pc.red(`${odd} watch value${odd > 1 ? 's deviate' : ' deviates'}`)}`,
    );
    return odd === 0 ? EXIT_PASSED : EXIT_FAILED;
  } catch (error) {
    if (!(error instanceof Broken)) throw error;
    const refusal = LINK_KINDS[place.kind].afterLoss?.(wire);
    if (refusal) throw refusal;
    say(process.stderr, `${text}: ${error.message}`);
    return EXIT_LOST;
  } finally {
    await wire.close();
  }
}
const NOTES_SHOWN = 5;

function stopsOf({ only, all }: BringUpOptions, board: BringUp): readonly TourStop[] {
  if (all) return tourFor(board.hello, board.quiet);
  return [{ injections: [readInjection('--only', only!, board.hello)], look: '' }];
}

function duration_s(text: string): number {
  const read = readWithUnit(text, ['s', 'ms']);
  if (!read.ok) throw new SetUpError(`--for ${text}: ${read.why}`);
  if (read.si < 0 || read.si > FOR_MOST_S) {
    throw new SetUpError(`--for ${text}: allowed is 0 s to ${FOR_MOST_S} s, wall time`);
  }
  return read.si;
}

/** The lines of one step. */
export function stepLines(step: BringUpStep, stop: TourStop, around: readonly Injection[], place = ''): string[] {
  const { hello, quiet, sent, after, ticks, tick_s, changes } = step;
  const injected = stop.injections.map(({ text }) => text).join(', ') || 'quiet pins';
  const beside = around.length > 0 ? ` with ${around.map(({ text }) => text).join(', ')}` : '';
  const span = `${ticks} ticks, ${Number((ticks * tick_s).toPrecision(3))} s of the drill`;
  const was = pinsOf(hello, quiet);
  const pins = pinsOf(hello, sent).map((pin, k) => {
    const changed = pin.counts !== was[k].counts;
    const row = `    ${pin.name.padEnd(10)} ${String(pin.counts).padStart(6)}  ${pin.si.padEnd(26)}`;
    return changed ? pc.bold(`${row}${`<- ${was[k].counts}`}`) : row.trimEnd();
  });
  const moved = changes.map(({ tick, text }) => `    ${`tick ${tick}`.padEnd(10)}  ${text}`);
  return [
    '',
    `  ${place}${pc.bold(injected)}${beside}  ${pc.dim(`(${span})`)}`,
    ...(stop.look === '' ? [] : wrapped('    look at: ', stop.look)),
    pc.dim('    pin        counts  SI                        quiet'),
    ...pins,
    pc.dim('    answer'),
    `    state       ${stateText(after)}`,
    `    trip        ${tripText(after)}`,
    `    legs        ${legsText(after)}`,
    ...(moved.length > 0 ? [pc.dim('    on the way'), ...moved] : []),
    ...watchLines(step.rows),
  ];
}

const COLUMNS = ['quiet', 'now', 'expected', 'deviation'] as const;

function watchLines(rows: readonly WatchRow[]): string[] {
  if (rows.length === 0) return [pc.dim('    no watch values: state some in Hello to see more')];
  const names = rows.map(({ name, unit }) => (unit === '' ? name : `${name} [${unit}]`));
  const width = Math.max(...names.map((name) => name.length), 'watch'.length);
  const head = COLUMNS.map((column) => column.padStart(10)).join('');
  return [
    pc.dim(`    ${'watch'.padEnd(width)}${head}  follows`),
    ...rows.map((row, k) => {
      const off = row.expected === undefined ? undefined : row.after - row.expected;
      const cells = [row.before, row.after, row.expected, off].map((value) => cell(value).padStart(10)).join('');
      const line = `    ${names[k].padEnd(width)}${cells}  ${row.signal}`;
      if (row.moving)
        return `${line}\n${pc.yellow(`    ${' '.repeat(width)}  ^ still on its way: hold it longer with --for`)}`;
      return row.hint === '' ? line.trimEnd() : `${line}\n${pc.red(`    ${' '.repeat(width)}  ^ ${row.hint}`)}`;
    }),
  ];
}

function cell(value: number | undefined): string {
  if (value === undefined) return '-';
  if (!Number.isFinite(value)) return String(value);
  const size = Math.abs(value);
  if (size > 0 && (size < 1e-3 || size >= 1e6)) return value.toExponential(2);
  return String(Number(value.toPrecision(4)));
}
