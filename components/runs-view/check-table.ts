/** Checks of a run in a table, as they stand or as they ended. */
import { html, nothing } from 'lit';
import type { CheckResult } from '../../worker/api.ts';
import { orDash, timeText } from './numbers.ts';
import { WORDS } from './words.ts';

/** Room under this share of the limit is thin. */
const THIN = 0.15;

export function verdictWord({ verdict, margin, limit }: CheckResult): string {
  if (verdict === 'not evaluated') return WORDS.none;
  if (verdict === 'fail') return WORDS.fail;
  const thin = margin !== null && limit !== null && margin < THIN * Math.abs(limit);
  return thin ? `${WORDS.pass}, ${WORDS.thin}` : WORDS.pass;
}

/** @param open puts the run on the bench before the moment of a check; none while it runs */
export function checkTable(checks: readonly CheckResult[], open?: (check: CheckResult) => void) {
  const row = (check: CheckResult) => {
    const { name, value, limit, bound, unit, margin, at_s, verdict, why, note } = check;
    return html`<tr>
      <td class=${verdict === 'fail' ? 'bad' : ''}>${verdictWord(check)}</td>
      <th scope="row">${name}${why ? html`<small>${why}</small>` : nothing}${note ? html`<small>${note}</small>` : nothing}</th>
      <td class="number">${orDash(value, unit)}</td>
      <td class="number">${limit === null ? '–' : html`${bound} ${orDash(limit, unit)}`}</td>
      <td class="number ${verdict === 'fail' ? 'bad' : ''}">${orDash(margin, unit)}</td>
      <td class="number">${at_s === null ? '–' : timeText(at_s)}</td>
      <td>${
        open && at_s !== null
          ? html`<button class="key" aria-label=${WORDS.openAtName(name)} @click=${() => open(check)}>${WORDS.openAt}</button>`
          : nothing
      }</td>
    </tr>`;
  };
  return html`<div class="wide" tabindex="0" role="region" aria-label=${WORDS.checks}><table class="checks">
    <caption>${WORDS.checks}${open ? nothing : html`, ${WORDS.soFar}`}</caption>
    <thead><tr><th scope="col">${WORDS.verdict}</th><th scope="col">${WORDS.check}</th><th scope="col" class="number">${WORDS.value}</th>
      <th scope="col" class="number">${WORDS.limit}</th><th scope="col" class="number">${WORDS.margin}</th><th scope="col" class="number">${WORDS.moment}</th>
      <td></td></tr></thead>
    <tbody>${checks.map(row)}</tbody></table></div>`;
}

/** Checks of two runs side by side. */
export function differenceTable(first: readonly CheckResult[], second: readonly CheckResult[]) {
  const rows = first.flatMap((own) => {
    const other = second.find(({ name }) => name === own.name);
    return other ? [{ own, other }] : [];
  });
  return html`<div class="wide" tabindex="0" role="region" aria-label=${WORDS.differences}><table class="differences">
    <caption>${WORDS.differences}</caption>
    <thead><tr><th scope="col">${WORDS.check}</th><th scope="col" class="number">${WORDS.first}</th><th scope="col" class="number">${WORDS.second}</th>
      <th scope="col" class="number">${WORDS.difference}</th><th scope="col">${WORDS.verdict}</th></tr></thead>
    <tbody>${rows.map(({ own, other }) => {
      const apart = own.value === null || other.value === null ? null : other.value - own.value;
      return html`<tr><th scope="row">${own.name}</th><td class="number">${orDash(own.value, own.unit)}</td>
        <td class="number">${orDash(other.value, other.unit)}</td><td class="number">${orDash(apart, own.unit)}</td>
        <td>${verdictWord(own)} / ${verdictWord(other)}</td></tr>`;
    })}</tbody></table></div>`;
}
