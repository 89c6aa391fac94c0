/** Which fault met the drill in which state, and how the runs ended; and the list of all runs. */
import { marginBar } from '../bar.ts';
import { type Html, html } from '../html.ts';
import type { RunTold } from '../model.ts';
import type { Report } from '../report.ts';
import { chip, gravest, type Letter, letterOf } from '../verdict.ts';
import { STATES } from '../watch.ts';
import { pointText, withUnit } from '../words.ts';
import { leastRoom } from './head.ts';
import { runId, type Section, section } from './section.ts';

const NONE = 'no fault';
const NEVER = 'never began';

export interface Cell {
  readonly row: string;
  readonly column: string;
  readonly letter: Letter;
}

/** A cell for each fault that a run met, in the state in which it began; one for a run that met none. */
export function cellsOf({ runs, watched }: Report): Cell[] {
  return runs.flatMap((run): Cell[] => {
    const letter = letterOf(run.verdict);
    const began = run.faults.filter(({ what }) => what === 'begins');
    const first = began.filter(({ fault }, k) => began.findIndex((each) => each.fault === fault) === k);
    const never = run.ordered.filter((fault) => !first.some((each) => each.fault === fault));
    const met = first.map(({ fault, at_s }) => ({
      row: fault,
      column: watched.get(run)?.watch.stateText(at_s) ?? run.title,
      letter,
    }));
    const unmet = [...new Set(never)].map((row) => ({ row, column: NEVER, letter }));
    const cells = [...met, ...unmet];
    return cells.length > 0 ? cells : [{ row: NONE, column: 'whole run', letter }];
  });
}

const NOTE =
  'How the runs ended, by the fault and by what the drill was doing when it began. The letter tells what the color tells.';

/** undefined when a single run without a fault leaves nothing to lay out. */
export function matrixSection(report: Report): Section | undefined {
  const cells = cellsOf(report);
  if (cells.every(({ row }) => row === NONE)) return undefined;
  return section(
    'matrix',
    'Fault by state',
    NOTE,
    html`<div class="scroll" tabindex="0" role="group" aria-label="Matrix of faults and states">${matrixTable(cells, 'Fault')}</div>`,
  );
}

/** Cells as a table; with several runs in a cell the gravest counts, and the numbers stand below. */
export function matrixTable(cells: readonly Cell[], corner: string): Html {
  const order: readonly string[] = Object.values(STATES);
  const place = (column: string) => (order.includes(column) ? order.indexOf(column) : column === NEVER ? 99 : 50);
  const columns = [...new Set(cells.map(({ column }) => column))].sort((a, b) => place(a) - place(b));
  const rows = [...new Set(cells.map(({ row }) => row))];
  const body = rows.map((row) => {
    const inRow = columns.map((column) => cellOf(cells.filter((cell) => cell.row === row && cell.column === column)));
    return html`<tr><th scope="row">${row}</th>${inRow}</tr>`;
  });
  return html`<table class="matrix"><thead><tr><th scope="col">${corner}</th>${columns.map((column) => html`<th scope="col">${column}</th>`)}</tr></thead><tbody>${body}</tbody></table>`;
}

function cellOf(cells: readonly Cell[]): Html {
  if (cells.length === 0)
    return html`<td><span class="soft" aria-hidden="true">\u00b7</span><span class="unseen">none</span></td>`;
  const letters = cells.map(({ letter }) => letter);
  const worst = gravest(letters);
  const same = letters.filter((each) => each === worst).length;
  const count =
    letters.length === 1
      ? ''
      : html`<small>${same === letters.length ? `all ${same}` : `${same} of ${letters.length}`}</small>`;
  return html`<td>${chip(worst)}${count}</td>`;
}

/** Every run in one line. */
export function runsSection(runs: readonly RunTold[]): Section | undefined {
  if (runs.length < 2) return undefined;
  const rows = runs.map((run, index) => {
    const least = leastRoom([run]);
    const room = least && least.check.margin !== null ? withUnit(least.check.margin, least.check.unit) : '';
    return html`<tr role="row"><td role="cell" class="cell">${chip(letterOf(run.verdict))}</td>
<th role="rowheader" scope="row"><a href="#${runId(index)}">${run.title}</a><br><span class="small soft any">${[run.file, pointText(run), run.controller].filter((part) => part !== '').join(' \u00b7 ')}</span></th>
<td role="cell" class="bars" data-what="least room">${least ? html`${marginBar(least.check)}` : ''}</td>
<td role="cell" class="small whole" data-what="of which check">${least ? html`${room}, ${least.check.name}` : run.why || run.verdict}</td>
<td role="cell" class="num" data-what="lost time">${withUnit(run.lostTime_s, 's')}</td></tr>`;
  });
  const columns = ['Run', 'Least room', 'Of which check', 'Lost time'];
  const body = html`<table class="stack marked" role="table"><caption class="unseen">All runs</caption><thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th>${columns.map((name) => html`<th role="columnheader" scope="col" class="${name === 'Lost time' ? 'num' : ''}">${name}</th>`)}</tr></thead><tbody role="rowgroup">${rows}</tbody></table>`;
  return section('runs', 'Runs', 'Every run with the check that has the least room.', body);
}
