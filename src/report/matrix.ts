/** Verdicts in rows and columns, by color and by letter. */
import { type Html, html } from './html.ts';
import { chip, gravest, type Letter } from './verdict.ts';
import { STATES } from './watch.ts';

/** Column of a fault that was ordered and never came. */
export const NEVER = 'never began';

export interface Cell {
  readonly row: string;
  readonly column: string;
  readonly letter: Letter;
}

/** Cells as a table; with several runs in a cell the gravest counts, and the numbers stand below. */
export function matrixTable(cells: readonly Cell[], corner: string, caption = ''): Html {
  const order: readonly string[] = Object.values(STATES);
  const place = (column: string) => (order.includes(column) ? order.indexOf(column) : column === NEVER ? 99 : 50);
  const columns = [...new Set(cells.map(({ column }) => column))].sort((a, b) => place(a) - place(b));
  const rows = [...new Set(cells.map(({ row }) => row))];
  const body = rows.map((row) => {
    const inRow = columns.map((column) => cellOf(cells.filter((cell) => cell.row === row && cell.column === column)));
    return html`<tr><th scope="row">${row}</th>${inRow}</tr>`;
  });
  return html`<table class="matrix">${caption === '' ? '' : html`<caption>${caption}</caption>`}<thead><tr><th scope="col">${corner}</th>${columns.map((column) => html`<th scope="col">${column}</th>`)}</tr></thead><tbody>${body}</tbody></table>`;
}

function cellOf(cells: readonly Cell[]): Html {
  if (cells.length === 0)
    return html`<td><span class="soft" aria-hidden="true">\u00b7</span><span class="unseen">none</span></td>`;
  const letters = cells.map(({ letter }) => letter);
  const worst = gravest(letters);
  const same = letters.filter((each) => each === worst).length;
  const count =
    letters.length === 1
      ? ''
      : html`<small>${same === letters.length ? `all ${same}` : `${same} of ${letters.length}`}</small>`;
  return html`<td>${chip(worst)}${count}</td>`;
}
