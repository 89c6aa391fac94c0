/** What somebody has to look at, each with the line that plays it again. A check that fails in many runs is one item. */
import { type Html, html } from '../html.ts';
import type { CheckTold, RunTold } from '../model.ts';
import { chip, letterOf } from '../verdict.ts';
import { checkText, isUncounted, runName } from '../words.ts';
import { type Links, type Section, section } from './section.ts';

/** Longest list; the rest is counted. */
const LISTED = 60;
/** Up to here each run with the same trouble has an item of its own. */
const APART = 3;

interface Item {
  readonly run: RunTold;
  /** undefined when the run itself is in doubt. */ readonly check: CheckTold | undefined;
}

/** undefined when there is nothing to look at. */
export function lookSection(runs: readonly RunTold[], links: Links): Section | undefined {
  const groups = new Map<string, Item[]>();
  for (const item of runs.flatMap(itemsOf)) {
    const { run, check } = item;
    const key = [run.title, run.file, run.controller, check?.name ?? run.verdict, check?.verdict ?? ''].join('\n');
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  const items = [...groups.values()].flatMap((group) => {
    if (group.length <= APART) return group.map((item) => itemText(item, links, ''));
    const all = runs.filter(({ title, file }) => title === group[0].run.title && file === group[0].run.file).length;
    return [itemText(worst(group), links, `in ${group.length} of ${all} runs; the worst of them:`)];
  });
  if (items.length === 0) return undefined;
  const rest = items.length - LISTED;
  const more = rest > 0 ? html`<p class="soft">and ${rest} more</p>` : '';
  const body = html`<ul class="look">${items.slice(0, LISTED)}</ul>${more}`;
  return section('look', 'What needs a look', 'Everything that did not pass, with the line that plays it again.', body);
}

function itemsOf(run: RunTold): Item[] {
  const checks = run.checks.filter((check) => check.verdict !== 'pass' && !isUncounted(run, check));
  const letter = letterOf(run.verdict);
  // A run that is itself in doubt is one item: its checks follow from it.
  if (letter !== 'P' && (letter !== 'F' || checks.length === 0)) return [{ run, check: undefined }];
  return checks.map((check) => ({ run, check }));
}

/** The item with the least margin, the first of them when there is none. */
function worst(items: readonly Item[]): Item {
  const margin = ({ check }: Item) => check?.margin ?? Number.POSITIVE_INFINITY;
  return items.reduce((least, each) => (margin(each) < margin(least) ? each : least));
}

function itemText({ run, check }: Item, links: Links, lead: string): Html {
  const again = run.again === '' ? '' : html`<code>${run.again}</code>`;
  const name = links.to(run, runName(run));
  if (check === undefined) {
    const why = [run.verdict, run.why, ...run.problems].filter((part) => part !== '').join(': ');
    return html`<li>${chip(letterOf(run.verdict))}<div>${name}<br>${lead}${why}${again}</div></li>`;
  }
  const text = checkText(check).replaceAll('-', '\u2212');
  const head =
    lead === ''
      ? html`<strong>${check.name}</strong>, ${name}<br>`
      : html`<strong>${check.name}</strong>, ${lead}<br>${name}<br>`;
  return html`<li>${chip(letterOf(check.verdict))}<div>${head}${text}${again}</div></li>`;
}
