/**
 * The standard normal distribution and its inverse.
 *
 * Model: the series of odd powers (Abramowitz and Stegun 26.2.11) near the middle, the continued fraction of the tail
 * (26.2.14) beyond; both from memory. The inverse halves its bracket: drawing is not where the time goes.
 */

/** From here on the tail's fraction is as exact as the series, and does not cancel. */
const TAIL_FROM = 3;
/** Terms of the fraction, from its far end; enough for all digits at TAIL_FROM. */
const TAIL_TERMS = 200;
/** No double lies beyond: the share below -39 is zero. */
const FAR = 39;

/** Share of the distribution below x. */
export function normalShare(x: number): number {
  const density = Math.exp(-0.5 * x * x) / Math.sqrt(2 * Math.PI);
  if (x <= -TAIL_FROM) return density * tail(-x);
  if (x >= TAIL_FROM) return 1 - density * tail(x);
  let term = x;
  let sum = x;
  for (let k = 3; Math.abs(term) > 1e-18; k += 2) {
    term *= (x * x) / k;
    sum += term;
  }
  return 0.5 + density * sum;
}

function tail(x: number): number {
  let below = x;
  for (let k = TAIL_TERMS; k >= 1; k--) below = x + k / below;
  return 1 / below;
}

/** x below which `share` of the distribution lies. Throws RangeError outside 0 < share < 1. */
export function normalQuantile(share: number): number {
  if (!(share > 0 && share < 1)) throw new RangeError(`share ${share}; allowed is above 0 and below 1`);
  // From the half below, where a share keeps its digits.
  if (share > 0.5) return -normalQuantile(1 - share);
  let low = -FAR;
  let high = 0;
  for (;;) {
    const middle = (low + high) / 2;
    if (middle === low || middle === high || high - low < 1e-15) return middle;
    if (normalShare(middle) < share) low = middle;
    else high = middle;
  }
}
