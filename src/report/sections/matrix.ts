/** Which fault met the drill in which state, and how the runs ended; and the list of all runs. */

import { SITUATIONS } from '../../runner/situation.ts';
import { marginBar, roomShare } from '../bar.ts';
import { html } from '../html.ts';
import { leastRoom } from '../least.ts';
import { type Cell, matrixTable, NEVER } from '../matrix.ts';
import type { RunTold } from '../model.ts';
import type { Report } from '../report.ts';
import { chip, letterOf } from '../verdict.ts';
import { pointText, withUnit } from '../words.ts';
import { type Links, type Section, section } from './section.ts';

const NONE = 'no fault';

/** What the drill was doing when a fault began; '' where nobody wrote it down. */
export const metText = (met: string): string =>
  Object.hasOwn(SITUATIONS, met) ? SITUATIONS[met as keyof typeof SITUATIONS] : '';

/** The least room of a run as a cell has it. */
export function leastOf(run: RunTold): Cell['least'] {
  const least = leastRoom([run]);
  if (least === undefined || least.check.margin === null) return undefined;
  return { share: roomShare(least.check) ?? 0, margin: withUnit(least.check.margin, least.check.unit) };
}

/** A cell for each fault that a run met, in the state in which it began; one for a run that met none. */
export function cellsOf({ runs, watched }: Report): Cell[] {
  return runs.flatMap((run): Cell[] => {
    const letter = letterOf(run.verdict);
    const least = leastOf(run);
    const began = run.faults.filter(({ what }) => what === 'begins');
    const first = began.filter(({ fault }, k) => began.findIndex((each) => each.fault === fault) === k);
    const never = run.ordered.filter((fault) => !first.some((each) => each.fault === fault));
    const met = first.map(({ fault, at_s, met: now }) => ({
      row: fault,
      column: (metText(now) || watched.get(run)?.watch.stateText(at_s)) ?? run.title,
      letter,
      least,
    }));
    const unmet = [...new Set(never)].map((row) => ({ row, column: NEVER, letter, least }));
    const cells = [...met, ...unmet];
    return cells.length > 0 ? cells : [{ row: NONE, column: 'whole run', letter, least }];
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
    'Fault by situation',
    NOTE,
    html`<div class="scroll" tabindex="0" role="group" aria-label="Matrix of faults and states">${matrixTable(cells, 'Fault')}</div>`,
  );
}

/** Every run in one line. */
export function runsSection(runs: readonly RunTold[], links: Links): Section | undefined {
  if (runs.length < 2) return undefined;
  const rows = links.shown.map((run) => {
    const least = leastRoom([run]);
    const room = least && least.check.margin !== null ? withUnit(least.check.margin, least.check.unit) : '';
    return html`<tr role="row"><td role="cell" class="cell">${chip(letterOf(run.verdict))}</td>
<th role="rowheader" scope="row">${links.to(run, run.title)}<br><span class="small soft any">${[run.file, pointText(run), run.controller].filter((part) => part !== '').join(' \u00b7 ')}</span></th>
<td role="cell" class="bars" data-what="least room">${least ? html`${marginBar(least.check)}` : ''}</td>
<td role="cell" class="small whole" data-what="of which check">${least ? html`${room}, ${least.check.name}` : run.why || run.verdict}</td>
<td role="cell" class="num" data-what="lost time">${withUnit(run.lostTime_s, 's')}</td></tr>`;
  });
  const columns = ['Run', 'Least room', 'Of which check', 'Lost time'];
  const body = html`<table class="stack marked" role="table"><caption class="unseen">All runs</caption><thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th>${columns.map((name) => html`<th role="columnheader" scope="col" class="${name === 'Lost time' ? 'num' : ''}">${name}</th>`)}</tr></thead><tbody role="rowgroup">${rows}</tbody></table>${links.restText()}`;
  const note =
    links.rest > 0
      ? 'Runs that did not pass, and those with the least room.'
      : 'Every run with the check that has the least room.';
  return section('runs', 'Runs', note, body);
}
