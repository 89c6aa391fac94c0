/** Each run with each of its checks: value, limit, margin as number and as bar, and against the baseline. */
import { arrow, marginBar } from '../bar.ts';
import { type Html, html } from '../html.ts';
import type { CheckTold, RunTold } from '../model.ts';
import type { Move, Trends } from '../trend.ts';
import { chip, letterOf } from '../verdict.ts';
import { pointText, timeText, withUnit } from '../words.ts';
import { type Links, type Section, section } from './section.ts';

/** Held by every run: one line while they hold, rows as soon as one does not. */
const EVERY_RUN = ['energy balances', 'no virtual time is lost', 'no frame is late'];

const NOTE =
  'In the bar the upright line is the limit. To the right lies the room that is left, to the left what is missing; full length is the size of the limit.';

export function checksSection(links: Links, trends: Trends | undefined): Section {
  const note = trends ? `${NOTE} The diamond is the baseline, ${trends.baseline.file}.` : NOTE;
  const gone =
    trends && trends.gone.length > 0
      ? html`<div class="run"><h3>No longer there</h3><p>The baseline has checks that no run of this report has:</p><ul class="small">${trends.gone.map((name) => html`<li>${name}</li>`)}</ul></div>`
      : '';
  return section(
    'checks',
    'Checks',
    note,
    html`${links.shown.map((run) => runBlock(run, links, trends))}${links.restText()}${gone}`,
  );
}

function runBlock(run: RunTold, links: Links, trends: Trends | undefined): Html {
  const plain = run.checks.filter((check) => EVERY_RUN.includes(check.name) && check.verdict === 'pass');
  const rows = run.checks.filter((check) => !plain.includes(check));
  const point = pointText(run);
  return html`<div class="run" id="${links.id(run)}"><h3>${chip(letterOf(run.verdict))} ${run.title}</h3>
<p class="small soft any">${[run.file, point, run.controller, run.why].filter((part) => part !== '').join(' \u00b7 ')}</p>
${rows.length === 0 ? html`<p>${run.problems.length > 0 ? run.problems.join(' ') : 'It has no check of its own.'}</p>` : table(run, rows, trends)}
${plain.length === 0 ? '' : html`<p class="small soft">Also holds: ${plain.map(plainText).join('; ')}.</p>`}
</div>`;
}

const plainText = ({ name, value, limit, unit }: CheckTold): string =>
  value === null || limit === null || limit === 0
    ? name
    : `${name} (${withUnit(value, unit)}, at most ${withUnit(limit, unit)})`;

function table(run: RunTold, rows: readonly CheckTold[], trends: Trends | undefined): Html {
  const against = trends ? html`<th role="columnheader" scope="col">Baseline</th>` : '';
  return html`<table class="stack marked checks" role="table"><caption class="unseen">Checks of ${run.title}</caption>
<thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th><th role="columnheader" scope="col">Check</th><th role="columnheader" scope="col" class="num">Value</th><th role="columnheader" scope="col" class="num">Limit</th><th role="columnheader" scope="col" class="num">Margin</th><th role="columnheader" scope="col" class="bars">Room</th>${against}</tr></thead>
<tbody role="rowgroup">${rows.map((check) => row(check, trends))}</tbody></table>`;
}

function row(check: CheckTold, trends: Trends | undefined): Html {
  const { name, verdict, value, limit, bound, margin, unit, at_s, why, note, requirements, signal, take } = check;
  const trend = trends?.of(check);
  const moment = at_s === null ? '' : `at ${timeText(at_s)}`;
  const source = signal === '' ? '' : `${take} of ${signal}`.trim();
  const detail = [source, moment, ...requirements].filter((part) => part !== '').join(', ');
  return html`<tr role="row"><td role="cell" class="cell">${chip(letterOf(verdict))}</td>
<th role="rowheader" scope="row">${name}<br><span class="small soft">${detail}${why === '' ? '' : html`. ${why}`}${note === '' ? '' : html`. ${note}`}</span></th>
<td role="cell" class="num" data-what="value">${value === null ? 'no value' : withUnit(value, unit)}</td>
<td role="cell" class="num" data-what="limit">${limit === null ? '' : `${bound ?? ''} ${withUnit(limit, unit)}`}</td>
<td role="cell" class="num" data-what="margin">${margin === null ? 'none' : withUnit(margin, unit)}</td>
<td role="cell" class="bars" data-what="room">${marginBar(check, trend?.was ?? null)}</td>
${trend ? html`<td role="cell" data-what="baseline" class="move ${kindOf(trend.move)}">${arrowOf(trend.move)}${trend.text}</td>` : ''}</tr>`;
}

export const WAYS: Readonly<Partial<Record<Move, 'up' | 'down' | 'same'>>> = {
  more: 'up',
  'now passes': 'up',
  less: 'down',
  'now fails': 'down',
  same: 'same',
};

const arrowOf = (move: Move): Html | undefined => {
  const way = WAYS[move];
  return way && arrow(way);
};

const kindOf = (move: Move): string =>
  move === 'now fails' ? 'worse' : move === 'more' || move === 'now passes' ? 'better' : '';
