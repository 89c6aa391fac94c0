/** Reads an archive: every value where there is room for it, else lowest and highest, so that no spike is left out. */
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../src/signals.ts';
import { requireRange } from '../src/units/checks.ts';
import { type Archive, COLUMN_TICKS } from './archive.ts';
import type { Channel, Look, Looked, Span } from './past-api.ts';

const CHANNELS_MOST = 64;
const POINTS_MOST = 400_000;
/** A share of a period that is rounding and no time. */
const ROUNDING = 1e-6;

/** Place of a channel in a row. Throws RangeError that says what is allowed. */
export function placeOf(channel: Channel, archive: Pick<Archive, 'width'>): number {
  const place = SIGNAL_INDEX[channel as SignalId];
  if (place !== undefined) return place;
  const watches = archive.width - SIGNALS.length;
  const number = /^watch (\d+)$/.exec(channel);
  if (number && Number(number[1]) < watches) return SIGNALS.length + Number(number[1]);
  const known = watches === 0 ? 'this controller has no watch values' : `'watch 0' to 'watch ${watches - 1}'`;
  throw new RangeError(`channel '${channel}' is not known; allowed are the signals of the bench, and ${known}`);
}

/** @param gaps of the run, in the order of time */
export function look(archive: Archive, ask: Omit<Look, 'run'>, gaps: readonly [number, number][]): Looked {
  const { from_s, to_s, points } = ask;
  requireSpan(ask);
  requireRange('points', points, 2, POINTS_MOST, '');
  requireRange('channels', ask.channels.length, 0, CHANNELS_MOST, '');
  const places = ask.channels.map((channel) => placeOf(channel, archive));
  const { period_s } = archive;
  const n0 = Math.ceil(from_s / period_s - ROUNDING) - 1;
  const n1 = Math.max(n0, Math.floor(to_s / period_s + ROUNDING) - 1);
  const within = { held: heldBy(archive), gaps: gaps.filter(([at_s]) => at_s >= from_s && at_s <= to_s) };
  const inRows = Math.max(n0, archive.first) >= archive.firstRow;
  const count = n1 - n0 + 1;
  if (inRows && count <= points) {
    const data = places.map((place) => values(archive, place, n0, count));
    return {
      from_s: (n0 + 1) * period_s,
      to_s: (n1 + 1) * period_s,
      step_s: period_s,
      kind: 'values',
      data,
      ...within,
    };
  }
  const { step, first, spans } = steps(n0, n1, points, inRows);
  const data = places.map((place) => lowHigh(archive, place, first, step, spans));
  const begin_s = first * period_s;
  const step_s = step * period_s;
  return { from_s: begin_s, to_s: (first + step * spans) * period_s, step_s, kind: 'spans', data, ...within };
}

/** What a run holds. */
export function heldBy({ first, end, period_s }: Archive): Span {
  return { from_s: first * period_s, to_s: end * period_s };
}

/** Throws RangeError on a span that is none. */
export function requireSpan({ from_s, to_s }: Span): void {
  if (Number.isFinite(from_s) && Number.isFinite(to_s) && from_s <= to_s) return;
  throw new RangeError(`the span goes from ${from_s} s to ${to_s} s; allowed are two finite moments in their order`);
}

/** Length of a span in periods, a whole number of columns where rows would take too long or are not kept. */
function steps(n0: number, n1: number, points: number, inRows: boolean) {
  let step = Math.ceil((n1 - n0 + 1) / points);
  const unit = !inRows || 2 * step >= COLUMN_TICKS ? COLUMN_TICKS : 1;
  step = Math.ceil(step / unit) * unit;
  for (;;) {
    const first = Math.floor(n0 / step) * step;
    const spans = Math.ceil((n1 + 1 - first) / step);
    if (spans <= points) return { step, first, spans };
    step += unit;
  }
}

function values(archive: Archive, place: number, n0: number, count: number): Float32Array {
  const out = new Float32Array(count);
  if (place === SIGNAL_INDEX.time) for (let k = 0; k < count; k++) out[k] = k * archive.period_s;
  else for (let k = 0; k < count; k++) out[k] = archive.row(n0 + k, place);
  return out;
}

function lowHigh(archive: Archive, place: number, first: number, step: number, spans: number): Float32Array {
  const out = new Float32Array(spans * 2);
  for (let k = 0; k < spans; k++) {
    if (place === SIGNAL_INDEX.time) {
      out[2 * k] = k * step * archive.period_s;
      out[2 * k + 1] = (k + 1) * step * archive.period_s;
      continue;
    }
    out[2 * k] = Number.POSITIVE_INFINITY;
    out[2 * k + 1] = Number.NEGATIVE_INFINITY;
    const from = first + k * step;
    if (step % COLUMN_TICKS === 0) {
      for (let at = from; at < from + step; at += COLUMN_TICKS) archive.widen(at / COLUMN_TICKS, place, out, 2 * k);
    } else {
      for (let at = from; at < from + step; at++) {
        const v = archive.row(at, place);
        if (v < out[2 * k]) out[2 * k] = v;
        if (v > out[2 * k + 1]) out[2 * k + 1] = v;
      }
    }
    if (out[2 * k] > out[2 * k + 1]) out.fill(Number.NaN, 2 * k, 2 * k + 2);
  }
  return out;
}
