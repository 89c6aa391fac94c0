/** Curves of a plot in SVG: a line through the means of the columns, a band from least to greatest behind it. */
import type { Column } from './traces.ts';

/** Below this many units of the picture a band is not seen beside its line. */
const BAND_LEAST = 0.8;

/** Where a share of the run and a value lie in the picture. */
export interface Frame {
  /** @param share of the run, 0 to 1 */ x(share: number): number;
  y(value: number): number;
}

/** The line of one piece. @param kind words of its class */
export function lineOf(piece: readonly Column[], kind: string, { x, y }: Frame): string {
  const points = piece.map(({ at, mean }) => `${short(x(at))} ${short(y(mean))}`);
  // A single column has no length; a short stroke shows that it is there.
  return `<path class="line ${kind}" d="M${points.join('L')}${points.length === 1 ? 'h1' : ''}"/>`;
}

/** The envelope, where it can be told from the line; one column to each side closes it. '' where there is none. */
export function bandOf(piece: readonly Column[], kind: string, { x, y }: Frame): string {
  const wide = piece.map(({ least, greatest }) => y(least) - y(greatest) >= BAND_LEAST);
  const near = wide.map((is, k) => is || wide[k - 1] === true || wide[k + 1] === true);
  const shapes: string[] = [];
  for (let k = 0; k < piece.length; k++) {
    if (!near[k]) continue;
    const from = k;
    while (k + 1 < piece.length && near[k + 1]) k++;
    const part = piece.slice(from, k + 1);
    const upper = part.map(({ at, greatest }) => `${short(x(at))} ${short(y(greatest))}`);
    const lower = part.map(({ at, least }) => `${short(x(at))} ${short(y(least))}`).reverse();
    shapes.push(`M${[...upper, ...lower].join('L')}Z`);
  }
  return shapes.length === 0 ? '' : `<path class="band ${kind}" d="${shapes.join('')}"/>`;
}

/** A coordinate with the digits that a screen shows. */
export const short = (value: number): string => String(Math.round(value * 10) / 10);

export const clipped = (text: string, most: number): string =>
  text.length > most ? `${text.slice(0, most - 1)}\u2026` : text;
