/** What the cases of a search have found: the size that is still borne and the first that is not, or the values with least room. */
import { html } from 'lit';
import type { CaseOutcome } from '../../worker/api.ts';
import { orDash } from './numbers.ts';
import { WORDS } from './words.ts';

export function caseTable(cases: readonly CaseOutcome[]) {
  const row = (found: CaseOutcome) => {
    const values = Object.entries(found.values).map(([place, value]) => `${place} ${value}`);
    const bears = found.kind === 'break' ? orDash(found.holds, found.unit) : '–';
    const fails = found.kind === 'break' ? orDash(found.fails, found.unit) : '–';
    const asked = found.kind === 'break' ? orDash(found.asked, found.unit) : '–';
    const word = { pass: WORDS.pass, fail: WORDS.fail, 'not evaluated': WORDS.none }[found.verdict];
    return html`<tr><td class=${found.verdict === 'fail' ? 'bad' : ''}>${word}</td><th scope="row">${values.join(', ') || WORDS.case(found.case)}
      <small>${found.kind === 'break' ? found.found : found.ended}</small></th>
      <td class="number">${bears}</td><td class="number">${fails}</td><td class="number">${asked}</td>
      <td class="number">${orDash(found.margin, found.unit)}</td></tr>`;
  };
  return html`<div class="wide" tabindex="0" role="region" aria-label=${WORDS.cases}><table class="cases">
    <caption>${WORDS.cases}</caption>
    <thead><tr><th scope="col">${WORDS.verdict}</th><th scope="col">${WORDS.caseOf}</th><th scope="col" class="number">${WORDS.bears}</th>
      <th scope="col" class="number">${WORDS.breaks}</th><th scope="col" class="number">${WORDS.asked}</th>
      <th scope="col" class="number">${WORDS.margin}</th></tr></thead>
    <tbody>${cases.map(row)}</tbody></table></div>`;
}
