/**
 * Noise from a generator whose whole state is one slot of the plant vector, so that a rewound run draws
 * the same noise again.
 *
 * Source  Marsaglia, "Xorshift RNGs", Journal of Statistical Software 8(14), 2003: the 13, 17, 5 triple (from memory).
 */

/** Next state of the generator; never 0 when the state is not 0. */
export function nextState(state: number): number {
  let s = state | 0;
  s ^= s << 13;
  s ^= s >>> 17;
  s ^= s << 5;
  return s >>> 0;
}

/** Starting state from a seed: spread, and never 0. */
export function seedState(seed: number): number {
  let s = (Math.floor(seed) ^ 0x9e3779b9) >>> 0;
  if (s === 0) s = 0x9e3779b9;
  for (let k = 0; k < 8; k++) s = nextState(s);
  return s;
}

/**
 * A bell-shaped number of mean 0 and deviation 1 from slot `at` of x: the sum of four even ones, scaled.
 * Bounded by 3.47, so a converter can never be hit by a wild outlier.
 */
export function drawBell(x: Float64Array, at: number): number {
  let s = x[at];
  let sum = 0;
  for (let k = 0; k < 4; k++) {
    s = nextState(s);
    sum += s;
  }
  x[at] = s;
  // Four even numbers on [0, 1) have mean 2 and variance 4/12.
  return (sum / 4294967296 - 2) * 1.7320508075688772;
}

/** A number from 0 to 1, all alike, 1 itself left out, from slot `at` of x. */
export function drawEven(x: Float64Array, at: number): number {
  const s = nextState(x[at]);
  x[at] = s;
  return s / 4294967296;
}
