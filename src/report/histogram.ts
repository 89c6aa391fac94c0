/** Margins of all runs of a campaign as a small histogram: left of the upright line is what fails. */
import { short } from './curves.ts';
import { type Html, raw } from './html.ts';

const WIDTH = 200;
const HEIGHT = 30;
const BINS = 40;

export function marginHistogram(margins: readonly number[]): Html {
  if (margins.length === 0)
    return raw(`<svg class="histogram" viewBox="0 0 ${WIDTH} ${HEIGHT}" aria-hidden="true"></svg>`);
  // Zero, the limit, always has its place, and no bin lies on both of its sides: how near the runs come is the point.
  const low = margins.reduce((least, each) => Math.min(least, each), 0);
  const high = margins.reduce((most, each) => Math.max(most, each), 0);
  const span = high - low || 1;
  const below = low < 0 ? Math.max(1, Math.min(BINS - 1, Math.round((-low / span) * BINS))) : 0;
  const zero = (below / BINS) * WIDTH;
  const counts = new Array<number>(BINS).fill(0);
  for (const margin of margins) counts[binOf(margin, low, high, below)]++;
  const most = Math.max(...counts);
  const bars = counts.map((count, k) => {
    if (count === 0) return '';
    const height = Math.max(2, (count / most) * (HEIGHT - 4));
    return `<rect class="${k < below ? 'miss' : 'room'}" x="${short((k * WIDTH) / BINS + 0.4)}" y="${short(HEIGHT - 1 - height)}" width="${short(WIDTH / BINS - 0.8)}" height="${short(height)}"/>`;
  });
  const at = short(Math.min(WIDTH - 1, Math.max(1, zero)));
  return raw(
    `<svg class="histogram" viewBox="0 0 ${WIDTH} ${HEIGHT}" aria-hidden="true"><path class="track" d="M0 ${HEIGHT - 1}H${WIDTH}"/>${bars.join('')}<path class="limit" d="M${at} 0V${HEIGHT}"/></svg>`,
  );
}

/** Equal bins on each side of zero; a margin of zero holds. */
function binOf(margin: number, low: number, high: number, below: number): number {
  if (margin < 0) return Math.min(below - 1, Math.floor(((margin - low) / -low) * below));
  const above = BINS - below;
  return high === 0 ? below : below + Math.min(above - 1, Math.floor((margin / high) * above));
}
