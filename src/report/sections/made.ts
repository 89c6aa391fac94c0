/** How it was run: versions, hashes, coupling and counts; what to be careful about; who says so. */
import { type Html, html } from '../html.ts';
import type { RunTold } from '../model.ts';
import type { Report } from '../report.ts';
import { shownNumber, withUnit } from '../words.ts';
import { couplingText, distinct } from './head.ts';
import { type Links, type Section, section } from './section.ts';

export function cautionsSection(runs: readonly RunTold[]): Section {
  const texts = distinct(runs.flatMap((run) => run.cautions));
  const items = texts.map((text) => {
    const of = runs.filter((run) => run.cautions.includes(text)).length;
    const where = of < runs.length ? html` <span class="soft small">(${of} of ${runs.length} runs)</span>` : '';
    return html`<li>${text}${where}</li>`;
  });
  return section('cautions', 'Cautions', 'What the numbers do not say.', html`<ul class="cautions">${items}</ul>`);
}

export function madeSection({ versions, command, at, baseline }: Report, links: Links): Section {
  const pairs: [string, string][] = [
    ['made', at],
    ['command', command],
    ...Object.entries(versions),
    ...(baseline ? [['baseline', baselineText(baseline.file, baseline.runs)] as [string, string]] : []),
  ];
  const note =
    'Versions and hashes of all that went in. A run with the same hashes and seed ends with the same state hash.';
  return section('made', 'How it was run', note, html`${pairList(pairs)}${runTable(links)}`);
}

const baselineText = (file: string, runs: readonly RunTold[]): string =>
  [file, ...distinct(runs.map(({ firmware }) => firmware)).map((name) => `firmware ${name}`)].join(', ');

const pairList = (pairs: readonly (readonly [string, string])[]): Html =>
  html`<dl class="pairs">${pairs.map(([name, value]) => html`<dt>${name}</dt><dd>${value}</dd>`)}</dl>`;

function runTable(links: Links): Html {
  const rows = links.shown.map((run) => {
    const counts = Object.entries(run.counters).map(([name, value]) => `${name} ${value}`);
    const pace = run.wall_s ? `${shownNumber(Number((run.virtual_s / run.wall_s).toPrecision(3)))}` : '';
    const residual = run.energyResidual === null ? 'no balance' : shownNumber(run.energyResidual);
    return html`<tr role="row"><th role="rowheader" scope="row" class="any">${links.to(run, run.title)}<br><span class="small soft">${[run.controller, run.board, run.firmware && `firmware ${run.firmware}`].filter((part) => part !== '').join(' \u00b7 ')}</span><br><span class="small soft">${counts.join(', ')}</span></th>
<td role="cell" data-what="coupling" class="nowrap">${couplingText(run)}</td><td role="cell" class="num" data-what="seed">${run.seed ?? ''}</td><td role="cell" class="num" data-what="step">${run.step_s === null ? '' : withUnit(run.step_s * 1e6, 'µs')}</td><td role="cell" class="num" data-what="virtual/wall">${pace}</td><td role="cell" class="num" data-what="residual">${residual}</td><td role="cell" class="small" data-what="state hash"><code>${run.stateHash || 'none'}</code></td></tr>`;
  });
  const columns = ['Run', 'Coupling', 'Seed', 'Step', 'Virtual/wall', 'Energy residual', 'State hash'];
  const right = ['Seed', 'Step', 'Virtual/wall', 'Energy residual'];
  return html`<table class="stack wide" role="table"><caption class="unseen">Runs with coupling, seed, hashes and counts</caption><thead role="rowgroup"><tr role="row">${columns.map((name) => html`<th role="columnheader" scope="col" class="${right.includes(name) ? 'num' : ''}">${name}</th>`)}</tr></thead><tbody role="rowgroup">${rows}</tbody></table>${links.restText()}`;
}

const DECISIONS = ['accepted', 'accepted with remarks', 'rejected'];

export function reviewSection(): Section {
  const body = html`<div class="review">
<div class="box">Reviewer</div><div class="box">Date</div>
<div class="box wide">Decision<ul>${DECISIONS.map((word) => html`<li>${word}</li>`)}</ul></div>
<div class="box wide tall">Remarks</div>
<div class="box wide">Signature</div>
</div>`;
  return section(
    'review',
    'Review',
    'To print, fill in and sign. A report without a reviewer is a measurement, not a decision.',
    body,
  );
}
