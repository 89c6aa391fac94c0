/** Which scale a lane uses by itself: it widens at once and narrows only after a while, so that it does not pump. */
import { marksFor, roundScale, type Scale } from './axis.ts';

/** What is in sight of a lane, in its unit. */
export interface Reach {
  readonly low: number;
  readonly high: number;
}

/** A scale may be this much wider than needed before it thinks of narrowing. */
const LOOSE = 0.45;
/** A trace swings about zero when its smaller side is this share of its greater one. */
const SWINGS = 0.4;
/** It narrows when it was too wide for this long [ms]. */
const PATIENCE_MS = 1500;
/** In place of a unit: whole numbers that stand for something. */
export const CODES = 'codes';
/** Least height of a scale by unit: noise of a thing at rest shall not fill a lane. */
const LEAST: Readonly<Record<string, number>> = {
  A: 2,
  V: 1,
  rpm: 100,
  'Hz el': 10,
  N·m: 0.2,
  '%': 10,
  '°C': 2,
  mm: 2,
  '°': 5,
  '° el': 20,
  N: 5,
  kN: 0.1,
  mWb: 0.1,
  '': 1e-9,
  [CODES]: 2,
  'rad/s': 1,
};

/** The scale for a reach; zero belongs to it when it is near. */
export function scaleFor(reach: Reach, unit: string, height: number): Scale {
  let { low, high } = reach;
  if (!(high >= low)) {
    low = 0;
    high = 0;
  }
  if (low > 0 && low < 0.6 * high) low = 0;
  if (high < 0 && high > 0.6 * low) high = 0;
  // What swings about zero keeps zero in the middle.
  if (low < 0 && high > 0 && Math.min(-low, high) > SWINGS * Math.max(-low, high)) {
    high = Math.max(-low, high);
    low = -high;
  }
  const lack = (LEAST[unit] ?? 1e-3) - (high - low);
  if (lack > 0) {
    const up = low >= 0 && low < lack ? lack : lack / 2;
    high += up;
    low -= lack - up;
  }
  return roundScale(low, high, marksFor(height));
}

export interface Fitted {
  readonly scale: Scale;
  /** Since when it is too wide [ms]; infinity while it is not. */ readonly since_ms: number;
}

/**
 * The next scale after `before`.
 *
 * @param at_once the view has jumped: no reason to wait
 */
export function fit(
  before: Fitted | undefined,
  reach: Reach,
  unit: string,
  height: number,
  now_ms: number,
  at_once: boolean,
): Fitted {
  const wanted = scaleFor(reach, unit, height);
  const fresh = { scale: wanted, since_ms: Number.POSITIVE_INFINITY };
  if (!before || at_once) return fresh;
  const { scale } = before;
  if (!(reach.high >= reach.low)) return { scale, since_ms: Number.POSITIVE_INFINITY };
  const holds = reach.low >= scale.low && reach.high <= scale.high;
  if (!holds) return fresh;
  const loose = wanted.high - wanted.low < LOOSE * (scale.high - scale.low);
  if (!loose) return { scale, since_ms: Number.POSITIVE_INFINITY };
  const since_ms = Math.min(before.since_ms, now_ms);
  return now_ms - since_ms >= PATIENCE_MS ? fresh : { scale, since_ms };
}
