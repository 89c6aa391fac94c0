/**
 * What a number of runs says about a rate: limits by Clopper and Pearson, and how many runs a claim takes.
 *
 * Source: C. J. Clopper and E. S. Pearson, The use of confidence or fiducial limits illustrated in the case of the
 * binomial, Biometrika 26 (1934), from memory. The limits are those shares at which the count seen, or one further out,
 * has just the probability that is left over; they never promise more than their confidence.
 */
import { betaQuantile, betaShare } from './beta.ts';
import type { Rate } from './results.ts';

/** Confidence of limits that name none. */
export const CONFIDENCE = 0.95;

export interface Limits {
  readonly low: number;
  readonly high: number;
}

/**
 * Limits on both sides of the share behind `count` of `of`.
 *
 * @param confidence that the share lies between them, above 0 and below 1
 */
export function rateLimits(count: number, of: number, confidence = CONFIDENCE): Limits {
  const outside = (1 - confidence) / 2;
  return { low: lowLimit(count, of, 1 - outside), high: highLimit(count, of, 1 - outside) };
}

/** The share that is exceeded with this confidence, from one side alone. */
export function lowLimit(count: number, of: number, confidence = CONFIDENCE): number {
  check(count, of, confidence);
  return count === 0 ? 0 : betaQuantile(1 - confidence, count, of - count + 1);
}

/** The share that is not reached with this confidence, from one side alone. */
export function highLimit(count: number, of: number, confidence = CONFIDENCE): number {
  return 1 - lowLimit(of - count, of, confidence);
}

/** A rate with its limits; without a run there is none. */
export function rateOf(passed: number, of: number, confidence = CONFIDENCE): Rate {
  if (of === 0) return { passed, of, share: null, low: null, high: null, atLeast: null, confidence };
  const { low, high } = rateLimits(passed, of, confidence);
  return { passed, of, share: passed / of, low, high, atLeast: lowLimit(passed, of, confidence), confidence };
}

/** Most runs that are counted up to. */
const RUNS_MOST = 1e7;

/**
 * Runs that it takes to claim that at least `share` of all pass, with this confidence, when `failures` of them may fail.
 * Without a failure it is ln(1 - confidence) / ln(share), rounded up.
 */
export function runsNeeded(share: number, confidence = CONFIDENCE, failures = 0): number {
  const between = (value: number) => value > 0 && value < 1;
  if (!between(share)) throw new RangeError(`share ${share}; allowed is above 0 and below 1`);
  if (!between(confidence)) throw new RangeError(`confidence ${confidence}; allowed is above 0 and below 1`);
  if (!(Number.isInteger(failures) && failures >= 0)) {
    throw new RangeError(`failures ${failures}; allowed is a whole number from 0`);
  }
  if (failures === 0) return Math.ceil(Math.log(1 - confidence) / Math.log(share));
  // The chance of `failures` or fewer among n falls with n: find where it is no more than what may be left over.
  const proves = (n: number) => betaShare(share, n - failures, failures + 1) <= 1 - confidence;
  let [low, high] = [failures, 2 * (failures + 1)];
  while (!proves(high)) {
    [low, high] = [high, 2 * high];
    if (high > RUNS_MOST) throw new RangeError(`more than ${RUNS_MOST} runs`);
  }
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (proves(middle)) high = middle;
    else low = middle;
  }
  return high;
}

function check(count: number, of: number, confidence: number): void {
  const fits = Number.isInteger(count) && Number.isInteger(of) && of >= 1 && count >= 0 && count <= of;
  if (!fits) throw new RangeError(`${count} of ${of}; allowed are whole numbers, 0 to all, of 1 or more`);
  if (!(confidence > 0 && confidence < 1)) {
    throw new RangeError(`confidence ${confidence}; allowed is above 0 and below 1`);
  }
}
