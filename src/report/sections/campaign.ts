/** A campaign: how many passed with limits on the rate, each check over all runs, and how faults and values went together. */
import type { CheckSummary, Rate } from '../../campaign/results.ts';
import { arrow } from '../bar.ts';
import { type CampaignTold, isSearch, smallestMargins } from '../campaign.ts';
import { marginHistogram } from '../histogram.ts';
import { type Html, html } from '../html.ts';
import { matrixTable } from '../matrix.ts';
import { type Baseline, Trends } from '../trend.ts';
import { chip } from '../verdict.ts';
import { shownNumber, withUnit } from '../words.ts';
import { WAYS } from './checks.ts';
import { type Section, section } from './section.ts';
import { situationsSection } from './situations.ts';
import { crossings } from './varied.ts';

const NOTE =
  'Rates with limits after Clopper and Pearson. Histogram: margins of all runs; the upright line is the limit, to its left lies what fails.';

export function campaignSections(campaigns: readonly CampaignTold[], baseline: Baseline | undefined): Section[] {
  return campaigns.flatMap((told, k) => {
    if (isSearch(told.summary)) return [];
    const id = `campaign-${k + 1}`;
    const title = campaigns.length === 1 ? 'Campaign' : `Campaign ${k + 1}`;
    const matrices = crossings(told);
    const situations = situationsSection(told, `${id}-situations`);
    return [
      section(id, title, NOTE, html`${rates(told)}${checkTable(told, baseline)}`),
      ...(situations === undefined ? [] : [situations]),
      ...(matrices.length === 0
        ? []
        : [
            section(
              `${id}-matrix`,
              'Faults and values',
              'How the runs ended, laid out by what differed between them. In a cell the gravest verdict counts; below it how many of how many.',
              html`${matrices.map(({ cells, corner, caption }) => html`<div class="scroll" tabindex="0" role="group" aria-label="${caption}">${matrixTable(cells, corner, caption)}</div>`)}`,
            ),
          ]),
    ];
  });
}

function rates({ summary }: CampaignTold): Html {
  const { rate, verdicts, runs, points, shard, method } = summary;
  const kept = Object.entries(verdicts).filter(([, count]) => count > 0);
  const part = shard === '' ? '' : `, part ${shard}`;
  return html`<p><strong>${summary.title}</strong><br><span class="soft small any">${summary.file} \u00b7 ${summary.scenario} \u00b7 ${method}${part}</span></p>
<p>${runs} runs of ${points} points: ${kept.map(([verdict, count]) => `${count} ${verdict}`).join(', ')}. Passed: ${rateText(rate)}.</p>`;
}

export function rateText({ passed, of, share, low, high, atLeast, confidence }: Rate): string {
  if (share === null || low === null || high === null || atLeast === null) return 'no run was judged';
  const percent = (value: number) => `${shownNumber(Number((100 * value).toPrecision(4)))}\u00a0%`;
  return `${passed} of ${of}, ${percent(share)}; at ${percent(confidence)} between ${percent(low)} and ${percent(high)}, or at least ${percent(atLeast)}`;
}

function checkTable({ summary, points }: CampaignTold, baseline: Baseline | undefined): Html {
  const smallest = smallestMargins(summary);
  const trends = baseline && new Trends(baseline, [smallest]);
  const margins = new Map<string, number[]>(summary.checks.map(({ name }) => [name, []]));
  for (const point of points) {
    for (const { name, margin } of point.checks) if (margin !== null) margins.get(name)?.push(margin);
  }
  const rows = summary.checks.map((check, k) => row(check, margins.get(check.name) ?? [], trends, smallest.checks[k]));
  const against = trends ? html`<th role="columnheader" scope="col">Baseline</th>` : '';
  return html`<table class="stack marked" role="table"><caption class="unseen">Checks over all runs</caption>
<thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th><th role="columnheader" scope="col">Check</th><th role="columnheader" scope="col" class="num">Passed</th><th role="columnheader" scope="col" class="num">Smallest margin</th><th role="columnheader" scope="col" class="num">Median</th><th role="columnheader" scope="col" class="bars">All margins</th>${against}</tr></thead>
<tbody role="rowgroup">${rows}</tbody></table>`;
}

function row(
  check: CheckSummary,
  margins: readonly number[],
  trends: Trends | undefined,
  told: Parameters<Trends['of']>[0],
): Html {
  const { name, unit, passed, failed, notEvaluated, margin, rate } = check;
  const letter = failed > 0 ? 'F' : passed > 0 ? 'P' : 'N';
  const open = notEvaluated > 0 ? `, ${notEvaluated} not evaluated` : '';
  const low =
    rate.atLeast === null
      ? ''
      : ` At least ${shownNumber(Number((100 * rate.atLeast).toPrecision(3)))}\u00a0% of runs, at ${shownNumber(100 * rate.confidence)}\u00a0%.`;
  const trend = trends?.of(told);
  const way = trend && WAYS[trend.move];
  return html`<tr role="row"><td role="cell" class="cell">${chip(letter)}</td><th role="rowheader" scope="row">${name}<br><span class="small soft">${margin ? `smallest at run ${margin.at}.` : ''}${low}</span></th>
<td role="cell" class="num" data-what="passed">${passed} of ${passed + failed}${open}</td><td role="cell" class="num" data-what="smallest margin">${margin ? withUnit(margin.smallest, unit) : 'none'}</td><td role="cell" class="num" data-what="median">${margin ? withUnit(margin.median, unit) : ''}</td><td role="cell" class="bars" data-what="all margins">${marginHistogram(margins)}</td>${trend ? html`<td role="cell" data-what="baseline" class="move">${way && arrow(way)}${trend.text}</td>` : ''}</tr>`;
}
