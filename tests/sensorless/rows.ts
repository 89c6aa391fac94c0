/** What an experiment has found: rows with a value, the limit it is held against, and how it was measured. */

export interface Row {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  /** Largest, or least, value that holds; neither for a figure that is only stated. */ readonly most?: number;
  readonly least?: number;
  /** How the value was measured. */ readonly how: string;
  /** A word beside the verdict: who won. */ readonly note?: string;
}

export type Verdict = 'holds' | 'does not hold' | 'stated';

export function verdictOf({ value, most, least }: Row): Verdict {
  if (most === undefined && least === undefined) return 'stated';
  // A value that is not a number is on no side of a limit.
  const below = most === undefined || value <= most;
  const above = least === undefined || value >= least;
  return below && above ? 'holds' : 'does not hold';
}

/** Limit of a row in words. */
export function limitOf({ most, least }: Row): string {
  const sides = [least === undefined ? '' : `>= ${short(least)}`, most === undefined ? '' : `<= ${short(most)}`];
  return sides.filter((side) => side !== '').join(' ');
}

export function short(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(4))) : String(value);
}

/**
 * Upper limit of the share of events of which `seen` were seen in `tries`, one-sided, by Clopper and Pearson: the share at which
 * so few are seen with a chance of 1 - confidence. Found by halving; with none seen it is 1 - (1 - confidence)^(1 / tries).
 * Source: Clopper, Pearson, Biometrika 26(4), 1934 (from memory).
 */
export function upperLimit(seen: number, tries: number, confidence = 0.95): number {
  let low = seen / tries;
  let high = 1;
  for (let k = 0; k < 60; k++) {
    const p = 0.5 * (low + high);
    if (atMost(seen, tries, p) > 1 - confidence) low = p;
    else high = p;
  }
  return high;
}

/** Chance of at most `seen` events in `tries` at a share p. */
function atMost(seen: number, tries: number, p: number): number {
  let term = tries * Math.log1p(-p);
  let sum = 0;
  for (let k = 0; k <= seen; k++) {
    sum += Math.exp(term);
    term += Math.log((tries - k) / (k + 1)) + Math.log(p) - Math.log1p(-p);
  }
  return sum;
}

/** Value below which a share of the list lies: the smallest member that is not exceeded by more than the rest. */
export function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  return sorted[Math.max(0, Math.ceil(share * sorted.length) - 1)];
}

export function mean(list: readonly number[]): number {
  return list.reduce((a, b) => a + b, 0) / list.length;
}

/** Deviation of a sample. */
export function deviation(list: readonly number[]): number {
  const m = mean(list);
  return Math.sqrt(list.reduce((a, b) => a + (b - m) * (b - m), 0) / (list.length - 1));
}
