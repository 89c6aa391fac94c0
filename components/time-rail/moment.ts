/** Moments as people read them: seconds with a thin space in the decimals, never rounded to less than what is meant. */

/** Down to a period: four decimals. */
export function momentText(time_s: number): string {
  return time_s.toFixed(4);
}

/** Down to a microsecond: 2.576 412. */
export function fineText(time_s: number): string {
  const text = time_s.toFixed(6);
  return `${text.slice(0, -3)}\u2009${text.slice(-3)}`;
}

/** Where a moment stands on a strip of so many pixels. */
export function placeOn(time_s: number, from_s: number, to_s: number, width: number): number {
  return to_s > from_s ? ((time_s - from_s) / (to_s - from_s)) * width : 0;
}

/** The moment under a pixel, on a whole tick. */
export function momentAt(x: number, width: number, from_s: number, to_s: number, tick_s: number): number {
  const share = Math.min(1, Math.max(0, x / width));
  return Math.round((from_s + share * (to_s - from_s)) / tick_s) * tick_s;
}
