/** Breaking points and worst cases: where a check flips, how sure that is, and what is asked. */
import type { BreakOutcome, PointResult, Values, WorstOutcome } from '../../campaign/results.ts';
import { arrow } from '../bar.ts';
import { type CampaignTold, isSearch, valuesText } from '../campaign.ts';
import { type Html, html } from '../html.ts';
import { rulerSvg, triedOf } from '../ruler.ts';
import type { Trends } from '../trend.ts';
import { chip, letterOf } from '../verdict.ts';
import { timeText, withUnit } from '../words.ts';
import { WAYS } from './checks.ts';
import { type Section, section } from './section.ts';

const NOTE =
  'Ring: a size at which the check holds; cross: one at which it does not. Gray: the bracket in which it flips, as narrow as the tolerance. Bisection assumes one flip; sizes beside the bracket were tried to see whether that is true.';

export function breakingSection(campaigns: readonly CampaignTold[], trends: Trends | undefined): Section | undefined {
  const searches = campaigns.filter(({ summary }) => isSearch(summary));
  if (searches.length === 0) return undefined;
  const blocks = searches.map((told, k) => {
    const cases = told.summary.cases.map((found, index) => {
      const trend = trends?.of(told.judged[index].checks[0]);
      const way = trend && WAYS[trend.move];
      const moved = trend ? html`<p class="small">Against the baseline: ${way && arrow(way)}${trend.text}.</p>` : '';
      return html`<div class="run">${found.kind === 'break' ? breakBlock(found, told, `b${k}-${index}`) : worstBlock(found)}${moved}</div>`;
    });
    const lead = `${told.summary.runs} runs, ${told.summary.file}, ${told.summary.scenario}`;
    return html`<div class="group"><p><strong>${told.summary.title}</strong><br><span class="soft small any">${lead}</span></p>${cases}</div>`;
  });
  const only = searches.every(({ summary }) => summary.method === 'worst');
  const body = html`${overview(searches)}${blocks}`;
  return section('breaking', only ? 'Worst cases' : 'Breaking points', NOTE, body);
}

/** All breaking points in one table; undefined when there are too few to need one. */
function overview(searches: readonly CampaignTold[]): Html | undefined {
  const rows = searches.flatMap(({ summary, points }) =>
    summary.cases.flatMap((found) => (found.kind === 'break' ? [overviewRow(summary.title, found, points)] : [])),
  );
  if (rows.length < 2) return undefined;
  const columns = ['Holds at', 'Does not at', 'Tolerance', 'Asked for'];
  return html`<table class="stack marked" role="table"><caption class="unseen">All breaking points</caption><thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="cell"><span class="unseen">Verdict</span></th><th role="columnheader" scope="col">What grows, and for whom</th>${columns.map((name) => html`<th role="columnheader" scope="col" class="num">${name}</th>`)}<th role="columnheader" scope="col">What gives way, and when</th></tr></thead><tbody role="rowgroup">${rows}</tbody></table>`;
}

function overviewRow(title: string, found: BreakOutcome, points: readonly PointResult[]): Html {
  const { values, verdict, holds, fails, tolerance, asked, unit, place } = found;
  const size = (value: number | null, none: string) => (value === null ? none : withUnit(value, unit));
  const first = title.replace(/^Breaking point of (the |an? )?/, '');
  const open = found.found === 'holds all over' ? 'holds all over' : 'none';
  return html`<tr role="row"><td role="cell" class="cell">${chip(letterOf(verdict))}</td><th role="rowheader" scope="row">${first}<br><span class="small soft any">${[unbroken(values), place].filter((part) => part !== '').join(' \u00b7 ')}</span></th>
<td role="cell" class="num" data-what="holds at">${size(holds, 'none')}</td><td role="cell" class="num" data-what="does not at">${size(fails, open)}</td><td role="cell" class="num" data-what="tolerance">${withUnit(tolerance, unit)}</td><td role="cell" class="num" data-what="asked for">${size(asked, 'nothing')}</td><td role="cell" class="small whole" data-what="what gives way, and when">${flipOf(found, points) || 'nothing in this range'}${found.monotone === false ? html`<br><strong class="warn">not one flip, see below</strong>` : ''}</td></tr>`;
}

/** Values in one line, each number together with its unit. */
const unbroken = (values: Values): string => valuesText(values).replaceAll(/(\d) (?=\S+(,|$))/g, '$1\u00a0');

/** What does not hold any more at the first size that fails, and when in the run; '' where nothing is known. */
export function flipOf({ place, check, fails, case: at }: BreakOutcome, points: readonly PointResult[]): string {
  if (fails === null) return '';
  const run = points.find((each) => each.point === at && Number.parseFloat(String(each.values[place])) === fails);
  if (run === undefined) return '';
  const failed = run.checks.filter(({ name, verdict }) => verdict === 'fail' && (check === 'any' || name === check));
  const told = failed.map(({ name, at_s }) => (at_s === null ? name : `${name}, ${timeText(at_s)}`));
  return told.length === 0 ? [run.verdict, run.why].filter((part) => part !== '').join(': ') : told.join('; ');
}

function breakBlock(found: BreakOutcome, { points }: CampaignTold, id: string): Html {
  const { place, check, unit, tolerance, runs, values, verdict, again } = found;
  const who = valuesText(values);
  const what = check === 'any' ? 'All checks' : check;
  const flip = flipOf(found, points);
  return html`<h3>${chip(letterOf(verdict))} <span class="nowrap">${place}</span>${who === '' ? '' : html`<span class="soft">${who}</span>`}</h3>
<p>${what}: ${bracketText(found)}${askedText(found)}${flip === '' ? '' : ` There: ${flip}.`}</p>
${rulerSvg(found, triedOf(found, points), id)}
<p class="small soft">Tolerance ${withUnit(tolerance, unit)}, ${runs} runs. ${flipText(found)}${again === '' ? '' : html`<br><code>${again}</code>`}</p>`;
}

function bracketText({ found, holds, fails, unit, why }: BreakOutcome): Html {
  const size = (value: number | null) =>
    html`<strong class="nowrap">${value === null ? 'none' : withUnit(value, unit)}</strong>`;
  switch (found) {
    case 'bracket':
      return html`holds at ${size(holds)}, does not at ${size(fails)}`;
    case 'holds all over':
      return html`holds up to ${size(holds)}, the end of the range`;
    case 'fails from the start':
      return html`does not hold at ${size(fails)}, where the range begins`;
    default:
      return html`undecided, ${why}`;
  }
}

function askedText({ asked, margin, unit }: BreakOutcome): string {
  if (asked === null) return '. No size is asked for.';
  return `; asked for ${withUnit(asked, unit)}${margin === null ? '' : `, margin ${withUnit(margin, unit)}`}.`;
}

function flipText({ monotone, contradicting, unit }: BreakOutcome): Html | string {
  if (monotone === null) return 'One flip is assumed.';
  if (monotone) return 'One flip is assumed; no size that was tried contradicts.';
  return html`<strong class="warn">Not one flip:</strong> ${contradicting.map((size) => withUnit(size, unit)).join(', ')} contradict; this bracket is one of several.`;
}

function worstBlock({
  case: start,
  values,
  name,
  check,
  unit,
  margin,
  runs,
  ended,
  verdict,
  again,
}: WorstOutcome): Html {
  const room =
    margin === null ? 'no margin' : html`margin <strong class="nowrap">${withUnit(margin, unit)}</strong> of ${check}`;
  return html`<h3>${chip(letterOf(verdict))} Search ${start}</h3>
<p>Worst: ${room}, at run ${name} with ${valuesText(values) || 'nothing changed'}.</p>
<p class="small soft">${runs} runs; ended because ${ended}.${again === '' ? '' : html`<br><code>${again}</code>`}</p>`;
}
