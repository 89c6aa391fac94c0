/** A straight line through measured points, and how sure its slope is. */

/** Two-sided 95 % points of Student's t by degrees of freedom, from 1 on; printed in any table of it, written from memory. */
const T_95 = [12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.16, 2.145, 2.131];
/** Above the table the points fall evenly with 1 over the degrees of freedom, towards those of the normal distribution. */
const tOf = (freedom: number): number => T_95[freedom - 1] ?? 1.96 + 2.5 / freedom;

export interface Trend {
  readonly slope: number;
  /** Half of the 95 % interval of the slope; infinite when two points leave no freedom. */ readonly half: number;
  readonly points: number;
}

/** Least squares. Throws RangeError on less than two different places. */
export function trendOf(points: readonly (readonly [x: number, y: number])[]): Trend {
  const n = points.length;
  const meanX = points.reduce((sum, [x]) => sum + x, 0) / n;
  const meanY = points.reduce((sum, [, y]) => sum + y, 0) / n;
  const xx = points.reduce((sum, [x]) => sum + (x - meanX) ** 2, 0);
  if (!(xx > 0)) throw new RangeError(`a trend needs two different places at least, not ${n} in one`);
  const slope = points.reduce((sum, [x, y]) => sum + (x - meanX) * (y - meanY), 0) / xx;
  const freedom = n - 2;
  if (freedom < 1) return { slope, half: Number.POSITIVE_INFINITY, points: n };
  const rest = points.reduce((sum, [x, y]) => sum + (y - meanY - slope * (x - meanX)) ** 2, 0);
  return { slope, half: tOf(freedom) * Math.sqrt(rest / freedom / xx), points: n };
}

export type Growth = 'flat' | 'grows' | 'not shown';

/** What the interval says about a limit: all of it below, all of it above, or neither. */
export function growthOf({ slope, half }: Trend, limit: number): Growth {
  if (slope + half <= limit) return 'flat';
  return slope - half > limit ? 'grows' : 'not shown';
}

/** Value below which a share of sorted values lies; NaN of none. */
export const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? Number.NaN;
