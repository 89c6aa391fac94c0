/** Two runs over the same span: mean, RMS, greatest and final value of both, and how far they are apart. */
import { type Archive, COLUMN_TICKS } from './archive.ts';
import { placeOf, requireSpan } from './look.ts';
import { PAST_WORDS } from './mark-words.ts';
import type { Channel, Difference, Differences, NoPast } from './past-api.ts';

type Three = readonly [number, number, number];

export function differences(
  now: Archive,
  ghost: Archive,
  channels: readonly Channel[],
  from_s: number,
  to_s: number,
): Differences | NoPast {
  requireSpan({ from_s, to_s });
  const { period_s } = now;
  const from = Math.max(Math.round(from_s / period_s), now.first, ghost.first);
  const to = Math.min(Math.round(to_s / period_s), now.end, ghost.end);
  if (from >= to) return { ok: false, why: PAST_WORDS.apart };
  const exact = from >= now.firstRow && from >= ghost.firstRow;
  const measure = exact ? ofRows : ofColumns;
  const rows = channels.map((channel): Difference => {
    const a = measure(now, placeOf(channel, now), from, to);
    const known = knows(ghost, channel);
    const b = known ? measure(ghost, placeOf(channel, ghost), from, to) : NONE;
    const three = (k: keyof Measured): Three => [a[k], b[k], b[k] - a[k]];
    const apart = exact && known ? distance(now, ghost, channel, from, to) : Number.NaN;
    return { channel, mean: three('mean'), rms: three('rms'), most: three('most'), last: three('last'), apart };
  });
  return { from_s: from * period_s, to_s: to * period_s, exact, rows };
}

interface Measured {
  readonly mean: number;
  readonly rms: number;
  readonly most: number;
  readonly last: number;
}
const NONE: Measured = { mean: Number.NaN, rms: Number.NaN, most: Number.NaN, last: Number.NaN };

/** Another controller may have fewer watch values. */
function knows(archive: Archive, channel: Channel): boolean {
  try {
    return placeOf(channel, archive) >= 0;
  } catch {
    return false;
  }
}

function ofRows(archive: Archive, place: number, from: number, to: number): Measured {
  let sum = 0;
  let squares = 0;
  let count = 0;
  let most = Number.NEGATIVE_INFINITY;
  for (let n = from; n < to; n++) {
    const v = archive.row(n, place);
    if (Number.isNaN(v)) continue;
    sum += v;
    squares += v * v;
    count++;
    if (v > most) most = v;
  }
  if (count === 0) return NONE;
  return { mean: sum / count, rms: Math.sqrt(squares / count), most, last: archive.row(to - 1, place) };
}

/** Only the greatest value is known of spans. */
function ofColumns(archive: Archive, place: number, from: number, to: number): Measured {
  const out = Float32Array.of(Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY);
  for (let c = Math.floor(from / COLUMN_TICKS); c * COLUMN_TICKS < to; c++) archive.widen(c, place, out, 0);
  return { ...NONE, most: out[1] === Number.NEGATIVE_INFINITY ? Number.NaN : out[1], last: archive.row(to - 1, place) };
}

function distance(now: Archive, ghost: Archive, channel: Channel, from: number, to: number): number {
  const a = placeOf(channel, now);
  const b = placeOf(channel, ghost);
  let most = Number.NaN;
  for (let n = from; n < to; n++) {
    const d = Math.abs(ghost.row(n, b) - now.row(n, a));
    if (d > most || Number.isNaN(most)) most = d;
  }
  return most;
}
