/** The table of a comparison: two runs side by side, figure by figure, and which of the two is better. */
import pc from 'picocolors';
import { DRIVE } from '../protocol/frames.ts';
import type { Figure } from '../runner/figures/figure.ts';
import type { Trip } from '../runner/figures/trips.ts';
import type { Outcome } from '../runner/play.ts';
import type { CheckResult } from '../scenario/check.ts';
import { toDisplay } from '../units/convert.ts';
import { digits } from './report-text.ts';

/** What the table needs to know of a run. */
export interface Compared {
  readonly outcome: Outcome;
  readonly wall_s: number;
  readonly figures: readonly Figure[];
}

export interface Row {
  readonly id: string;
  readonly what: string;
  /** Display unit, '' for none. */ readonly unit: string;
  readonly a: number | string | null;
  readonly b: number | string | null;
  /** Which is better; 'same' or 'differ' where that is all there is to say, '' where nothing is. */
  readonly better: 'A' | 'B' | 'same' | 'differ' | '';
  /** Why there is no value, '' where there is one. */ readonly whyA: string;
  readonly whyB: string;
}

export interface Section {
  readonly title: string;
  readonly rows: readonly Row[];
}

type Cell = number | null;

/**
 * All rows in the order in which they are printed.
 *
 * @param own checks of the scenario; those that every run has come after them and show as rows of the run
 */
export function sectionsOf(a: Compared, b: Compared, own: number): Section[] {
  const checks = a.outcome.checks.slice(0, own);
  return [
    { title: 'figures', rows: a.figures.map((figure, k) => figureRow(figure, b.figures[k])) },
    { title: 'margins of the checks', rows: checks.map((check, k) => marginRow(check, b.outcome.checks[k])) },
    { title: 'run', rows: runRows(a, b) },
  ].filter(({ rows }) => rows.length > 0);
}

function figureRow(a: Figure, b: Figure): Row {
  const shown = ({ value, show }: Figure): Cell => (value === null ? null : toDisplay(value, show));
  return numbers(a.id, a.what, a.show, a.better, [shown(a), shown(b)], [a.why, b.why]);
}

function marginRow(a: CheckResult, b: CheckResult): Row {
  const name = `${a.name}${a.verdict === 'fail' || b.verdict === 'fail' ? ` (${failing(a, b)})` : ''}`;
  return numbers(`margin:${a.name}`, name, a.unit, 'higher', [a.margin, b.margin], [a.why, b.why]);
}

function failing(a: CheckResult, b: CheckResult): string {
  return `${[a, b].flatMap(({ verdict }, k) => (verdict === 'fail' ? ['AB'[k]] : [])).join(' and ')} FAIL`;
}

function runRows(a: Compared, b: Compared): Row[] {
  const both = <T>(take: (side: Compared) => T): [T, T] => [take(a), take(b)];
  const count = (verdict: string) => both(({ outcome }) => outcome.checks.filter((c) => c.verdict === verdict).length);
  const none: [string, string] = ['', ''];
  const ratio = both(({ outcome, wall_s }): Cell => (wall_s > 0 ? outcome.virtual_s / wall_s : null));
  const untimed = both(({ wall_s }) => (wall_s > 0 ? '' : 'the run took no time'));
  const residual = both(({ outcome }): Cell => outcome.energyResidual);
  return [
    words(
      'verdict',
      'verdict',
      both(({ outcome }) => outcome.verdict),
      false,
    ),
    numbers('checksPassed', 'checks passed', '', 'higher', count('pass'), none),
    numbers('checksFailed', 'checks failed', '', 'lower', count('fail'), none),
    numbers('checksNotEvaluated', 'checks not evaluated', '', 'lower', count('not evaluated'), none),
    words(
      'coupling',
      'coupling',
      both(({ outcome }) => outcome.coupling),
      false,
    ),
    numbers(
      'lostTime',
      'lost time',
      's',
      null,
      both(({ outcome }): Cell => outcome.lostTime_s),
      none,
    ),
    numbers(
      'virtualTime',
      'virtual time',
      's',
      null,
      both(({ outcome }): Cell => outcome.virtual_s),
      none,
    ),
    numbers('virtualToWall', 'virtual over wall time', '', null, ratio, untimed),
    numbers('energyResidual', 'energy residual', '', null, residual, none),
    words(
      'stateHash',
      'state hash',
      both(({ outcome }) => outcome.stateHash),
      true,
    ),
  ];
}

function words(id: string, what: string, [a, b]: [string, string], tell: boolean): Row {
  const better = tell ? (a === b ? 'same' : 'differ') : '';
  return { id, what, unit: '', a, b, better, whyA: '', whyB: '' };
}

function numbers(
  id: string,
  what: string,
  unit: string,
  wanted: Figure['better'],
  [a, b]: readonly [Cell, Cell],
  [whyA, whyB]: readonly [string, string],
): Row {
  return { id, what, unit, a, b, better: betterOf(wanted, a, b), whyA, whyB };
}

/** Numbers that print alike are the same: a difference that nobody can read decides nothing. */
function betterOf(wanted: Figure['better'], a: Cell, b: Cell): Row['better'] {
  if (wanted === null || a === null || b === null) return '';
  if (digits(a) === digits(b)) return 'same';
  return a < b === (wanted === 'lower') ? 'A' : 'B';
}

/** The table as lines, with the reasons of what is missing below it. */
export function tableLines(sections: readonly Section[]): string[] {
  const cells = ({ what, a, b, unit, better }: Row) => [what, cell(a), cell(b), unit, better];
  const head = ['', 'A', 'B', 'unit', 'better'];
  const all = sections.flatMap(({ rows }) => rows.map(cells));
  const widths = head.map((title, k) => Math.max(title.length, ...all.map((row) => row[k].length)));
  const line = (row: readonly string[]) =>
    row.map((text, k) => (k === 1 || k === 2 ? text.padStart(widths[k]) : text.padEnd(widths[k]))).join('  ');
  const blocks = sections.map(({ title, rows }, k) => [
    pc.bold(line([title, ...(k === 0 ? head.slice(1) : ['', '', '', ''])]).trimEnd()),
    ...rows.map((row) => line(cells(row)).trimEnd()),
  ]);
  return [...blocks.flatMap((block, k) => (k === 0 ? block : ['', ...block])), ...reasons(sections)];
}

const cell = (value: number | string | null): string =>
  value === null ? '-' : typeof value === 'string' ? value : digits(value);

/** One line for each reason, with the rows and the runs that it holds for. */
function reasons(sections: readonly Section[]): string[] {
  const found = new Map<string, string[]>();
  const note = (side: string, why: string, what: string) => {
    const key = `${side}: ${why}`;
    found.set(key, [...(found.get(key) ?? []), what]);
  };
  for (const { a, b, whyA, whyB, what } of sections.flatMap(({ rows }) => rows)) {
    if (a === null && b === null && whyA === whyB) {
      note('A and B', whyA, what);
      continue;
    }
    if (a === null) note('A', whyA, what);
    if (b === null) note('B', whyB, what);
  }
  const lines = [...found].map(([key, rows]) => `- ${key} (${rows.join('; ')})`);
  return lines.length === 0 ? [] : ['', ...lines];
}

/** What tripped, reason by reason, in the words of the protocol; empty without a trip. */
export function tripsText(trips: readonly Trip[]): string {
  const reasons = [...new Set(trips.map(({ reason }) => reason))];
  return reasons
    .map((reason) => {
      const all = trips.filter((trip) => trip.reason === reason);
      const words = DRIVE.fields.trip.codes?.find(({ value }) => value === reason)?.doc ?? `own code ${reason}`;
      return `${words}, ${all.length === 1 ? 'once' : `${all.length} times, first`} at ${digits(all[0].at_s)} s`;
    })
    .join('; ');
}
