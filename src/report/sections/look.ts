/** What somebody has to look at, gravest first, each with the line that plays it again. */
import { type Html, html } from '../html.ts';
import type { CheckTold, RunTold } from '../model.ts';
import { chip, letterOf } from '../verdict.ts';
import { checkText, isUncounted, runName } from '../words.ts';
import { type Links, type Section, section } from './section.ts';

/** Longest list; the rest is counted. */
const LISTED = 60;

/** undefined when there is nothing to look at. */
export function lookSection(runs: readonly RunTold[], links: Links): Section | undefined {
  const items = runs.flatMap((run) => itemsOf(run, links));
  if (items.length === 0) return undefined;
  const rest = items.length - LISTED;
  const body = html`<ul class="look">${items.slice(0, LISTED)}</ul>${rest > 0 ? html`<p class="soft">and ${rest} more</p>` : ''}`;
  return section('look', 'What needs a look', 'Everything that did not pass, with the line that plays it again.', body);
}

function itemsOf(run: RunTold, links: Links): Html[] {
  const checks = run.checks.filter((check) => check.verdict !== 'pass' && !isUncounted(run, check));
  const letter = letterOf(run.verdict);
  // A run that is itself in doubt is one item: its checks follow from it.
  const own = letter !== 'P' && (letter !== 'F' || checks.length === 0);
  const again = run.again === '' ? '' : html`<code>${run.again}</code>`;
  const name = links.to(run, runName(run));
  if (own) {
    const why = [run.verdict, run.why, ...run.problems].filter((part) => part !== '').join(': ');
    return [html`<li>${chip(letter)}<div>${name}<br>${why}${again}</div></li>`];
  }
  return checks.map((check: CheckTold) => {
    return html`<li>${chip(letterOf(check.verdict))}<div><strong>${check.name}</strong>, ${name}<br>${checkText(check).replaceAll('-', '\u2212')}${again}</div></li>`;
  });
}
