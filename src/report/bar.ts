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
    parts.push(`<path class="was" d="M${x} 1.5l3 3-3 3-3-3z"/>`);
  }
  return raw(`<svg class="bar" viewBox="0 0 ${WIDTH} 16" aria-hidden="true">${parts.join('')}</svg>`);
}

const limit = `<path class="limit" d="M${MIDDLE} 1v14"/>`;

const at = (share: number): number =>
  share >= 0 ? MIDDLE + RIGHT * Math.min(1, share) : MIDDLE + LEFT * Math.max(-1, share);

function shape(share: number): string {
  const end = at(share);
  const kind = share < 0 ? 'miss' : 'room';
  const [side, over] = [share < 0 ? -1 : 1, Math.abs(share) > 1];
  if (!over) return `<path class="${kind}" d="M${MIDDLE} 4H${short(end)}V12H${MIDDLE}z"/>`;
  const neck = end - side * TIP;
  return `<path class="${kind}" d="M${MIDDLE} 4H${short(neck)}L${short(end)} 8L${short(neck)} 12H${MIDDLE}z"/>`;
}
