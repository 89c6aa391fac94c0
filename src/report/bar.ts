/**
 * The room that a check leaves, as a small bar: the line in the middle is the limit, to the right lies what is left, to
 * the left what is missing. Full length is the size of the limit; what is longer ends in a tip.
 */
import { short } from './curves.ts';
import { type Html, raw } from './html.ts';
import type { CheckTold } from './model.ts';

const WIDTH = 120;
const MIDDLE = 50;
/** Longest bar to the right and to the left. */
const RIGHT = 62;
const LEFT = 42;
const TIP = 5;
/** Shorter than this is not seen; what is there must be seen. */
const LEAST = 2;

/** Margin as a share of the limit, or of the value where the limit is zero; undefined when there is nothing to draw. */
export function roomShare({ value, limit, margin }: Pick<CheckTold, 'value' | 'limit' | 'margin'>): number | undefined {
  if (margin === null) return undefined;
  const size = Math.abs(limit ?? 0) || Math.abs(value ?? 0);
  return size === 0 ? 0 : margin / size;
}

/** @param was margin of the baseline, null for none */
export function marginBar(check: CheckTold, was: number | null = null): Html {
  const share = roomShare(check);
  if (share === undefined) return raw(`<svg class="bar" viewBox="0 0 ${WIDTH} 16" aria-hidden="true">${limit}</svg>`);
  const before = was === null ? undefined : roomShare({ ...check, margin: was });
  const parts = [`<path class="track" d="M${MIDDLE - LEFT} 8H${MIDDLE + RIGHT}"/>`, shape(share), limit];
  if (before !== undefined) {
    const x = short(at(before));
    parts.push(`<path class="was" d="M${x} 4l4 4-4 4-4-4z"/>`);
  }
  return raw(`<svg class="bar" viewBox="0 0 ${WIDTH} 16" aria-hidden="true">${parts.join('')}</svg>`);
}

/** An arrow up, down, or two lines for as before: drawn, because not every font has one. */
export function arrow(way: 'up' | 'down' | 'same'): Html {
  const shapes = { up: 'M5 1.5L9.5 9H.5z', down: 'M5 9L.5 1.5h9z', same: 'M1 2.6h8v1.6h-8zM1 6.6h8v1.6h-8z' };
  return raw(`<svg class="arrow" viewBox="0 0 10 10" aria-hidden="true"><path d="${shapes[way]}"/></svg>`);
}

const limit = `<path class="limit" d="M${MIDDLE} 1v14"/>`;

const at = (share: number): number =>
  share >= 0 ? MIDDLE + RIGHT * Math.min(1, share) : MIDDLE + LEFT * Math.max(-1, share);

function shape(share: number): string {
  const end = share === 0 ? MIDDLE : MIDDLE + Math.sign(share) * Math.max(LEAST, Math.abs(at(share) - MIDDLE));
  const kind = share < 0 ? 'miss' : 'room';
  const [side, over] = [share < 0 ? -1 : 1, Math.abs(share) > 1];
  if (!over) return `<path class="${kind}" d="M${MIDDLE} 4H${short(end)}V12H${MIDDLE}z"/>`;
  const neck = end - side * TIP;
  return `<path class="${kind}" d="M${MIDDLE} 4H${short(neck)}L${short(end)} 8L${short(neck)} 12H${MIDDLE}z"/>`;
}
