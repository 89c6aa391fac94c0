/** Which fault met the drill while it did what: how the runs of a campaign ended, how near, and the line that plays the worst. */
import type { PointResult } from '../../campaign/results.ts';
import type { CampaignTold } from '../campaign.ts';
import { type Html, html } from '../html.ts';
import { leastRoom } from '../least.ts';
import { type Cell, columnsOf, matrixTable, NEVER, worstOf } from '../matrix.ts';
import type { RunTold } from '../model.ts';
import { chip, gravest, type Letter, letterOf } from '../verdict.ts';
import { timeText, withUnit } from '../words.ts';
import { leastOf, metText } from './matrix.ts';
import { type Section, section } from './section.ts';

/** Most worst runs that are listed. */
const LISTED_MOST = 12;
/** Column of a beginning of which an older build did not write down what it met. */
const UNKNOWN = 'not recorded';
const FAULT_NAME = /^faults\.(\d+)\.fault$/;

const NOTE =
  'How the runs ended, by the fault and by what the drill was doing when it began. In a cell: the gravest verdict, how many of how many ended so, and the margin of the worst run.';

/** A cell that knows its run. */
export interface Met extends Cell {
  readonly run: RunTold;
}

/** A cell for each fault of each run in each situation that it met. */
export function metCells({ points, played }: Pick<CampaignTold, 'points' | 'played'>): Met[] {
  return points.flatMap((point, k): Met[] => {
    const run = played[k];
    const more = { letter: letterOf(run.verdict), least: leastOf(run), run };
    const begun = point.faults.filter(({ what }) => what === 'begins');
    const met = begun.map(({ fault, met: now }) => ({ row: fault, column: metText(now ?? '') || UNKNOWN }));
    const never = orderedOf(point, run).filter((fault) => !met.some(({ row }) => row === fault));
    const all = [...met, ...never.map((row) => ({ row, column: NEVER }))];
    const first = all.filter((each, at) => all.findIndex((other) => sameCell(each, other)) === at);
    return first.map((each) => ({ ...each, ...more }));
  });
}

const sameCell = (a: Pick<Cell, 'row' | 'column'>, b: Pick<Cell, 'row' | 'column'>): boolean =>
  a.row === b.row && a.column === b.column;

/** Faults of the scenario, with those that the point puts in their place. */
function orderedOf({ values }: PointResult, { ordered }: RunTold): string[] {
  const all = [...ordered];
  for (const [place, value] of Object.entries(values)) {
    const [, order] = FAULT_NAME.exec(place) ?? [];
    if (order !== undefined) all[Number(order) - 1] = String(value);
  }
  return [...new Set(all.filter((fault) => fault !== undefined))];
}

/** undefined when no run says what its faults met. */
export function situationsSection(told: CampaignTold, id: string): Section | undefined {
  const cells = metCells(told);
  if (cells.every(({ column }) => column === UNKNOWN || column === NEVER)) return undefined;
  const table = matrixTable(cells, 'Fault');
  const body = html`<div class="scroll" tabindex="0" role="group" aria-label="Matrix of faults and situations">${table}</div>
${worstTable(cells)}`;
  return section(id, 'Fault by situation', NOTE, body);
}

interface Group {
  readonly cells: readonly Met[];
  readonly worst: Met;
}

/** The worst run of each cell, the gravest and nearest first. */
function worstTable(cells: readonly Met[]): Html {
  const columns = columnsOf(cells);
  const rows = [...new Set(cells.map(({ row }) => row))];
  const groups = rows.flatMap((row) =>
    columns.flatMap((column): Group[] => {
      const own = cells.filter((cell) => cell.row === row && cell.column === column);
      return own.length === 0 ? [] : [{ cells: own, worst: worstOf(own) }];
    }),
  );
  groups.sort((a, b) => before(a.worst, b.worst));
  const rest = groups.length - LISTED_MOST;
  return html`<table class="stack marked" role="table"><caption>The worst run of each cell, and the line that plays it again</caption><thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th><th role="columnheader" scope="col">Fault, situation</th><th role="columnheader" scope="col" class="num">Passed</th><th role="columnheader" scope="col">Margin, of which check, when</th></tr></thead><tbody role="rowgroup">${groups.slice(0, LISTED_MOST).map(worstRow)}</tbody></table>${rest > 0 ? html`<p class="soft small">and ${rest} more cells with more room</p>` : ''}`;
}

function before(a: Met, b: Met): number {
  if (a.letter !== b.letter) return gravest([a.letter, b.letter]) === a.letter ? -1 : 1;
  return (a.least?.share ?? Number.POSITIVE_INFINITY) - (b.least?.share ?? Number.POSITIVE_INFINITY) || 0;
}

function worstRow({ cells, worst }: Group): Html {
  const { row, column, letter, run } = worst;
  const passed = cells.filter((each): boolean => each.letter === ('P' satisfies Letter)).length;
  return html`<tr role="row"><td role="cell" class="cell">${chip(letter)}</td><th role="rowheader" scope="row">${row}, ${column}</th>
<td role="cell" class="num" data-what="passed">${passed} of ${cells.length}</td>
<td role="cell" class="small whole" data-what="margin, of which check, when">${marginText(run)}${run.again === '' ? '' : html`<br><code>${run.again}</code>`}</td></tr>`;
}

function marginText(run: RunTold): string {
  const least = leastRoom([run]);
  if (least === undefined || least.check.margin === null) return run.why || run.verdict;
  const { margin, unit, name, at_s } = least.check;
  return `${withUnit(margin, unit)}, ${name}${at_s === null ? '' : `, ${timeText(at_s)}`}`;
}
