/** Verdicts in rows and columns, by color and by letter. */
import { SITUATIONS } from '../runner/situation.ts';
import { type Html, html } from './html.ts';
import { chip, gravest, type Letter } from './verdict.ts';

/** Column of a fault that was ordered and never came. */
export const NEVER = 'never began';

export interface Cell {
  readonly row: string;
  readonly column: string;
  readonly letter: Letter;
  /** The check with the least room of this run. */ readonly least?:
    | { readonly share: number; readonly margin: string }
    | undefined;
}

/** The worst of several: by its verdict, then by the room that is left. */
export function worstOf<Each extends Pick<Cell, 'letter' | 'least'>>(cells: readonly Each[]): Each {
  const letter = gravest(cells.map((each) => each.letter));
  const share = ({ least }: Each) => least?.share ?? Number.POSITIVE_INFINITY;
  const [first, ...rest] = cells.filter((each) => each.letter === letter);
  return rest.reduce((worst, each) => (share(each) < share(worst) ? each : worst), first);
}

/** Situations in their order, then what is none, last the faults that never came. */
export function columnsOf(cells: readonly Cell[]): string[] {
  const order: readonly string[] = Object.values(SITUATIONS);
  const place = (column: string) => (order.includes(column) ? order.indexOf(column) : column === NEVER ? 99 : 50);
  return [...new Set(cells.map(({ column }) => column))].sort((a, b) => place(a) - place(b));
}

/** Cells as a table; with several runs in a cell the gravest counts, and the numbers stand below. */
export function matrixTable(cells: readonly Cell[], corner: string, caption = ''): Html {
  const columns = columnsOf(cells);
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
  const { letter: worst, least } = worstOf(cells);
  const same = letters.filter((each) => each === worst).length;
  const count =
    letters.length === 1
      ? ''
      : html`<small>${same === letters.length ? `all ${same}` : `${same} of ${letters.length}`}</small>`;
  const margin = least === undefined ? '' : html`<small class="nowrap">${least.margin}</small>`;
  return html`<td>${chip(worst)}${count}${margin}</td>`;
}
