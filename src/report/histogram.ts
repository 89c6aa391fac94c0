/** Margins of all runs of a campaign as a small histogram: left of the upright line is what fails. */
import { short } from './curves.ts';
import { type Html, raw } from './html.ts';

const WIDTH = 200;
const HEIGHT = 30;
const BINS = 40;

export function marginHistogram(margins: readonly number[]): Html {
  if (margins.length === 0)
    return raw(`<svg class="histogram" viewBox="0 0 ${WIDTH} ${HEIGHT}" aria-hidden="true"></svg>`);
  // Zero, the limit, always has its place: how near the runs come is the point.
  const low = Math.min(0, ...margins);
  const high = Math.max(0, ...margins);
  const span = high - low || 1;
  const counts = binned(margins, low, span);
  const most = Math.max(...counts);
  const zero = ((0 - low) / span) * WIDTH;
  const bars = counts.map((count, k) => {
    if (count === 0) return '';
    const x = (k * WIDTH) / BINS;
    const height = Math.max(2, (count / most) * (HEIGHT - 4));
    const middle = low + ((k + 0.5) / BINS) * span;
    return `<rect class="${middle < 0 ? 'miss' : 'room'}" x="${short(x + 0.4)}" y="${short(HEIGHT - 1 - height)}" width="${short(WIDTH / BINS - 0.8)}" height="${short(height)}"/>`;
  });
  const at = short(Math.min(WIDTH - 1, Math.max(1, zero)));
  return raw(
    `<svg class="histogram" viewBox="0 0 ${WIDTH} ${HEIGHT}" aria-hidden="true"><path class="track" d="M0 ${HEIGHT - 1}H${WIDTH}"/>${bars.join('')}<path class="limit" d="M${at} 0V${HEIGHT}"/></svg>`,
  );
}

/** How many fall into each of equal bins; no bin spans the limit unseen: a bin is told by its middle. */
function binned(margins: readonly number[], low: number, span: number): number[] {
  const counts = new Array<number>(BINS).fill(0);
  for (const margin of margins) counts[Math.min(BINS - 1, Math.floor(((margin - low) / span) * BINS))]++;
  return counts;
}
