/** A grid of cells with arrow keys: one stop for Tab. */
import { html } from 'lit';
import type { CampaignCells } from '../../worker/api.ts';
import { withUnit } from './numbers.ts';
import { WORDS } from './words.ts';

export function matrix(
  { rows, columns, cells }: CampaignCells,
  chosen: readonly [string, string] | undefined,
  choose: (row: string, column: string) => void,
) {
  const first = `${rows[0]}\n${columns[0]}`;
  const stop = chosen ? `${chosen[0]}\n${chosen[1]}` : first;
  const cellOf = (row: string, column: string) => {
    const cell = cells.find((each) => each.row === row && each.column === column);
    const tabindex = `${row}\n${column}` === stop ? 0 : -1;
    const picked = row === chosen?.[0] && column === chosen?.[1];
    if (!cell)
      return html`<td role="gridcell" aria-selected=${picked}><button class="cell empty" tabindex=${tabindex}><span class="away">${WORDS.emptyCell(row, column)}</span></button></td>`;
    const { letter, runs, worst } = cell;
    const margin = worst?.margin === undefined || worst.margin === null ? '' : withUnit(worst.margin, worst.unit);
    const name = WORDS.cellName(row, column, WORDS.letters[letter], runs.length, margin);
    return html`<td role="gridcell" aria-selected=${picked}><button class="cell ${letter.toLowerCase()} ${picked ? 'picked' : ''}" tabindex=${tabindex} @click=${() => choose(row, column)}><span class="away">${name}</span><b aria-hidden="true">${letter}</b><span aria-hidden="true">${runs.length}</span><small aria-hidden="true">${margin}</small></button></td>`;
  };
  return html`<table class="matrix" role="grid" aria-labelledby="matrix">
    <thead><tr role="row"><td role="presentation"></td>${columns.map((column) => html`<th scope="col" role="columnheader">${column}</th>`)}</tr></thead>
    <tbody>${rows.map(
      (row) =>
        html`<tr role="row"><th scope="row" role="rowheader">${row}</th>${columns.map((column) => cellOf(row, column))}</tr>`,
    )}</tbody></table>`;
}

/** Arrows, Home and End move between the cells. */
export function gridKeys(e: KeyboardEvent): void {
  const at = (e.target as HTMLElement).closest('td');
  const row = at?.parentElement;
  const body = row?.parentElement;
  if (!at || !row || !body) return;
  const across = [...row.children].indexOf(at);
  const down = [...body.children].indexOf(row);
  const most = row.children.length - 1;
  const to: Readonly<Record<string, readonly [number, number]>> = {
    ArrowRight: [down, Math.min(most, across + 1)],
    ArrowLeft: [down, Math.max(1, across - 1)],
    ArrowDown: [Math.min(body.children.length - 1, down + 1), across],
    ArrowUp: [Math.max(0, down - 1), across],
    Home: [down, 1],
    End: [down, most],
  };
  const place = to[e.key];
  if (!place) return;
  e.preventDefault();
  body.children[place[0]]?.children[place[1]]?.querySelector<HTMLElement>('button')?.focus();
}
