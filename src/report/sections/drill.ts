/** The drill that was simulated: what follows from its parameters, then each parameter with its source. */
import { type Html, html } from '../html.ts';
import type { Sheet } from '../report.ts';
import { shownNumber, withUnit } from '../words.ts';
import { type Section, section } from './section.ts';

export function drillSections(sheets: readonly Sheet[]): Section[] {
  if (sheets.length === 0) return [];
  const figures = section(
    'drill',
    'Drill',
    'What follows from the parameters, to compare with a measured tool.',
    html`${sheets.map(figureBlock)}`,
  );
  const note = 'Every parameter in SI with its source. "Illustrative" means that nobody measured it on a tool.';
  const all = section('parameters', 'Parameters', note, html`${sheets.map(parameterBlock)}`, 'fresh');
  return [figures, all];
}

function figureBlock({ name, title, conditions, sections }: Sheet): Html {
  const tables = sections.map(
    (each) =>
      html`<table><caption>${each.title}</caption><tbody>${each.figures.map(({ what, shown, shownUnit }) => html`<tr><th scope="row">${what}</th><td class="num">${withUnit(shown, shownUnit)}</td></tr>`)}</tbody></table>`,
  );
  return html`<div class="run"><h3>${title} (${name})</h3><p class="small soft">${conditions}</p><div class="sheets">${tables}</div></div>`;
}

function parameterBlock({ name, title, groups }: Sheet): Html {
  const tables = groups.map(
    (group) =>
      html`<table class="parameters stack" role="table"><caption>${group.title} (${group.name})</caption><thead role="rowgroup" class="unseen"><tr role="row"><th role="columnheader" scope="col">Parameter</th><th role="columnheader" scope="col">Value</th><th role="columnheader" scope="col">Source</th></tr></thead><tbody role="rowgroup">${group.rows.map(
        ({ key, value, unit, doc, source }) =>
          html`<tr role="row"><th role="rowheader" scope="row"><code>${key}</code> <span class="soft">${doc}</span></th><td role="cell" class="num value">${valueText(value, unit)}</td><td role="cell" class="source">${source || 'no source'}</td></tr>`,
      )}</tbody></table>`,
  );
  return html`<div class="run"><h3>${title} (${name})</h3>${tables}</div>`;
}

function valueText(value: number | readonly number[], unit: string): string {
  if (typeof value === 'number') return withUnit(value, unit);
  const text = value.map(shownNumber).join(' ');
  return unit === '' ? text : `${text} ${unit}`;
}
