/**
 * Regularized incomplete beta function and its inverse, for limits on rates.
 *
 * Model: I_x(a, b) by its continued fraction (DLMF 8.17.22), evaluated from the front by Lentz' method, on the side of the
 * mean where it converges fast; ln Gamma by Stirling's series (DLMF 5.11.1) after stepping up to where it is exact.
 * Sources: NIST Digital Library of Mathematical Functions, from memory.
 */

/** Bernoulli numbers over 2k (2k - 1), for k from 1: terms of Stirling's series. */
const STIRLING = [1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156] as const;
/** From here on the first term that is left out, 3617/122400 x^-15, is below 1e-18. */
const STIRLING_FROM = 16;

/** Natural logarithm of Gamma(x) for x > 0. */
export function logGamma(x: number): number {
  let stepped = 1;
  let z = x;
  while (z < STIRLING_FROM) stepped *= z++;
  const square = z * z;
  let power = z;
  let series = 0;
  for (const term of STIRLING) {
    series += term / power;
    power *= square;
  }
  return (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + series - Math.log(stepped);
}

const ROUNDING = 2 ** -52;
/** Stands in for a zero in the continued fraction. */
const TINY = 1e-300;
/** The fraction needs some sqrt(max(a, b)) terms; this is enough for a million runs. */
const TERMS_MOST = 20_000;

/** I_x(a, b), the share of a beta distribution below x. Throws RangeError outside 0 <= x <= 1, a > 0, b > 0. */
export function betaShare(x: number, a: number, b: number): number {
  if (!(a > 0 && b > 0 && x >= 0 && x <= 1)) {
    throw new RangeError(`beta distribution: x ${x}, a ${a}, b ${b}; allowed are x from 0 to 1, a and b above 0`);
  }
  if (x === 0 || x === 1) return x;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  return x < (a + 1) / (a + b + 2) ? (front * fraction(x, a, b)) / a : 1 - (front * fraction(1 - x, b, a)) / b;
}

function fraction(x: number, a: number, b: number): number {
  let c = 1;
  let d = 1 / whole(1 - ((a + b) * x) / (a + 1));
  let value = d;
  for (let m = 1; m <= TERMS_MOST; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / whole(1 + even * d);
    c = whole(1 + even / c);
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / whole(1 + odd * d);
    c = whole(1 + odd / c);
    value *= d * c;
    if (Math.abs(d * c - 1) < 2 * ROUNDING) return value;
  }
  throw new RangeError(`beta distribution with a ${a} and b ${b} does not converge`);
}

const whole = (value: number): number => (Math.abs(value) < TINY ? TINY : value);

/** x with I_x(a, b) = share, by halving [0, 1] until no number lies between. */
export function betaQuantile(share: number, a: number, b: number): number {
  if (!(share >= 0 && share <= 1)) throw new RangeError(`share ${share}; allowed is 0 to 1`);
  let low = 0;
  let high = 1;
  for (;;) {
    const middle = (low + high) / 2;
    if (middle === low || middle === high) return middle;
    if (betaShare(middle, a, b) < share) low = middle;
    else high = middle;
    if (high - low < ROUNDING * middle) return middle;
  }
}
