/**
 * From an even draw between 0 and 1 to a value: every spread is its own quantile, so that random draws, hypercubes and
 * correlated draws all go through the same door.
 */
import type { Varied } from './campaign.ts';
import { normalQuantile, normalShare } from './normal.ts';
import type { Value } from './results.ts';
import { kept, writeValue } from './written.ts';

/** The value below which `share` of the spread lies. */
export function valueAt({ spread, unit, whole }: Varied, share: number): Value {
  if (spread.kind === 'listed')
    return spread.values[Math.min(spread.values.length - 1, Math.floor(share * spread.values.length))];
  if (whole) return writeValue(wholeAt(spread, share), unit);
  return writeValue(kept(Math.min(Math.max(numberAt(spread, share), spread.from), spread.to)), unit);
}

type Continuous = Exclude<Varied['spread'], { kind: 'listed' }>;

function numberAt(spread: Continuous, share: number): number {
  if (spread.kind === 'even') return spread.from + share * (spread.to - spread.from);
  const { mean, deviation, from, to } = spread;
  const below = normalShare((from - mean) / deviation);
  const above = normalShare((to - mean) / deviation);
  return mean + deviation * normalQuantile(below + share * (above - below));
}

/** Each whole number has the same share of an even spread, the ends too. */
function wholeAt(spread: Continuous, share: number): number {
  if (spread.kind === 'bell')
    return Math.min(Math.max(Math.round(numberAt(spread, share)), Math.ceil(spread.from)), Math.floor(spread.to));
  return Math.min(spread.to, spread.from + Math.floor(share * (spread.to - spread.from + 1)));
}

/** The values of a grid, in order. */
export function stepsOf({ spread, unit, whole, steps }: Varied): readonly Value[] {
  if (spread.kind === 'listed') return spread.values;
  const { from, to } = spread;
  const count = Math.max(1, steps);
  return Array.from({ length: count }, (_, k) => {
    const number = count === 1 ? from : from + (k * (to - from)) / (count - 1);
    return writeValue(whole ? Math.round(number) : kept(number), unit);
  });
}
