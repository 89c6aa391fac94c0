/** `conform`: examines a board over any kind of link, without a motor, and prints what to mend. */
import pc from 'picocolors';
import type { Verdict } from '../examine/examination.ts';
import { type BoardReport, type Examined, examine } from '../examine/examine.ts';
import { CAUTION } from '../examine/words.ts';
import { LINK_KINDS, openWire } from '../links/node-kinds.ts';
import type { Wire } from '../links/wire.ts';
import { boardPlace, helloText, packVoltage_V } from './board-named.ts';
import { EXIT_FAILED, EXIT_LOST, EXIT_PASSED } from './exit.ts';
import { say, writeText } from './files.ts';
import { WIDTH, wrapped } from './lines-text.ts';

export interface ConformOptions {
  readonly json?: string;
  /** Link voltage of quiet frames, e.g. '36 V'. */ readonly pack?: string;
}

const MARK: Readonly<Record<Verdict, (text: string) => string>> = {
  holds: pc.green,
  mend: (text) => pc.red(pc.bold(text)),
  warning: pc.yellow,
  'not examined': pc.dim,
};
const MARK_WIDTH = 'not examined'.length;
const ID_WIDTH = 17;

/** Runs the command and returns its exit code. */
export async function conform(text: string, options: ConformOptions): Promise<number> {
  const place = boardPlace('conform', text);
  const link_V = packVoltage_V(options.pack);
  const out = process.stdout;
  say(out, pc.bold(`Conformance of ${text}`));
  for (const line of wrapped('  Caution. ', CAUTION, '  ')) say(out, pc.yellow(line));
  say(out, '');
  const printed = new ResultPrinter((line) => say(out, line));
  let introduced = false;
  let wire: Wire | undefined;
  const report = await examine(
    async () => {
      wire = await openWire(place);
      return wire;
    },
    {
      link_V,
      onHello: (hello) => {
        for (const line of wrapped('  ', helloText(hello))) say(out, line);
        say(out, '');
        introduced = true;
      },
      onDone: (result) => {
        if (introduced) printed.take(result);
      },
    },
  );
  if (!introduced) {
    const refusal = wire && LINK_KINDS[place.kind].afterLoss?.(wire);
    if (refusal) throw refusal;
    for (const result of report.results) printed.take(result);
  }
  printed.end();
  for (const line of endLines(report)) say(out, line);
  if (options.json !== undefined) writeText('report', options.json, `${JSON.stringify(jsonOf(report), null, 2)}\n`);
  return exitOf(report);
}

export function exitOf({ lost, counts }: BoardReport): number {
  if (lost !== undefined) return EXIT_LOST;
  return counts.mend > 0 ? EXIT_FAILED : EXIT_PASSED;
}

/** Prints results as they come; those that were not examined for the same reason share a line. */
class ResultPrinter {
  private readonly print: (line: string) => void;
  private waiting: Examined[] = [];

  constructor(print: (line: string) => void) {
    this.print = print;
  }

  take(result: Examined): void {
    if (result.verdict !== 'not examined' || (this.waiting.length > 0 && this.waiting[0].saw !== result.saw))
      this.end();
    if (result.verdict === 'not examined') this.waiting.push(result);
    else for (const line of resultLines(result)) this.print(line);
  }

  end(): void {
    const [first, ...others] = this.waiting;
    this.waiting = [];
    if (!first) return;
    const also = others.length === 0 ? '' : `; for the same reason ${others.map(({ id }) => id).join(', ')}`;
    for (const line of resultLines({ ...first, saw: `${first.saw}${also}` })) this.print(line);
  }
}

/** One line or two of a result; with what to do when there is something to do. */
function resultLines(result: Examined): string[] {
  const { id, verdict, saw } = result;
  const head = `  ${verdict.padEnd(MARK_WIDTH)}  ${id.padEnd(ID_WIDTH)}  `;
  const lines = wrapped(head, saw);
  const rows: [string, string][] =
    verdict === 'mend' || verdict === 'warning'
      ? [
          ['does', result.does],
          ['expects', result.expects],
          ['matters', result.matters],
          ['mend', result.mend],
        ]
      : [];
  const indent = ' '.repeat(MARK_WIDTH + 4);
  const more = rows.flatMap(([name, words]) => wrapped(`${indent}${name.padEnd(7)}  `, words).map(pc.dim));
  const colored = lines[0].replace(verdict, MARK[verdict](verdict));
  return [colored, ...lines.slice(1), ...more];
}

function endLines({ counts, notes, lost, hello }: BoardReport): string[] {
  const parts = [
    `${counts.holds} hold`,
    `${counts.mend} to mend`,
    `${counts.warning} warning${counts.warning === 1 ? '' : 's'}`,
    `${counts['not examined']} not examined`,
  ];
  const said = notes.slice(0, NOTES_SHOWN).flatMap((note) => wrapped('  note of the board: ', note));
  const verdict =
    lost !== undefined
      ? pc.yellow(pc.bold(`board lost: ${lost}`))
      : counts.mend > 0
        ? pc.red(pc.bold('to mend'))
        : pc.green(pc.bold('conforms'));
  const kit = counts.mend > 0 || !hello ? wrapped('  ', 'The pages named above are in src/board.') : [];
  return ['', ...said, ...kit, `  ${parts.join(', ')}`, ...wrapped('  ', verdict, '  ', WIDTH)];
}
const NOTES_SHOWN = 5;

function jsonOf({ link, hello, counts, lost, notes, results }: BoardReport) {
  return { caution: CAUTION, link, hello: hello ?? null, lost: lost ?? null, counts, notes, examinations: results };
}
