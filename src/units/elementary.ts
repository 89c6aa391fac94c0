/**
 * Sine, cosine, arctangent, exponential and logarithm from + - * / and square root alone, so that every engine gives the same bits
 * (ECMAScript leaves the last digits of its own to the implementation).
 *
 * Series   Taylor about 0 after range reduction; truncation below 1e-17 on the reduced range.
 * Source   Cody, Waite: Software Manual for the Elementary Functions, Prentice-Hall 1980 (from memory):
 *          two-part reduction constants for pi/2 and ln 2.
 */
const HALF_PI_HI = 1.5707963267341256;
const HALF_PI_LO = 6.077100506506192e-11;
const TWO_OVER_PI = 0.6366197723675814;

/** sin(r) for |r| <= pi/4. */
function sinCore(r: number): number {
  const q = r * r;
  const tail = 1 - (q / 156) * (1 - (q / 210) * (1 - q / 272));
  return r * (1 - (q / 6) * (1 - (q / 20) * (1 - (q / 42) * (1 - (q / 72) * (1 - (q / 110) * tail)))));
}

/** cos(r) for |r| <= pi/4. */
function cosCore(r: number): number {
  const q = r * r;
  const tail = 1 - (q / 132) * (1 - (q / 182) * (1 - q / 240));
  return 1 - (q / 2) * (1 - (q / 12) * (1 - (q / 30) * (1 - (q / 56) * (1 - (q / 90) * tail))));
}

/** Cosine of an angle in rad; exact to 2 ulp for |x| below 1e5. */
export function cosine(x: number): number {
  const n = Math.round(x * TWO_OVER_PI);
  const r = x - n * HALF_PI_HI - n * HALF_PI_LO;
  const k = ((n % 4) + 4) % 4;
  if (k === 0) return cosCore(r);
  if (k === 1) return -sinCore(r);
  return k === 2 ? -cosCore(r) : sinCore(r);
}

/** Sine of an angle in rad; exact to 2 ulp for |x| below 1e5. */
export function sine(x: number): number {
  const n = Math.round(x * TWO_OVER_PI);
  const r = x - n * HALF_PI_HI - n * HALF_PI_LO;
  const k = ((n % 4) + 4) % 4;
  if (k === 0) return sinCore(r);
  if (k === 1) return cosCore(r);
  return k === 2 ? -sinCore(r) : -cosCore(r);
}

/** Remainder of an angle in [0, 2 pi). */
export function wrapTurn(x_rad: number): number {
  const turn = 6.283185307179586;
  const r = x_rad - turn * Math.floor(x_rad / turn);
  return r < turn ? r : 0;
}

// biome-ignore lint/suspicious/noApproximativeNumericConstant: written out, so that every engine has these bits
const LN_2 = 0.6931471805599453;
// biome-ignore lint/suspicious/noApproximativeNumericConstant: written out, so that every engine has these bits
const ROOT_2 = 1.4142135623730951;
// biome-ignore lint/suspicious/noApproximativeNumericConstant: written out, so that every engine has these bits
const ROOT_HALF = 0.7071067811865476;
const LN_2_HI = 0.6931471803691238;
const LN_2_LO = 1.9082149292705877e-10;

/** 2 to a whole number n, exact for |n| <= 1022. */
function powerOfTwo(n: number): number {
  let base = n < 0 ? 0.5 : 2;
  let out = 1;
  for (let k = Math.abs(n); k > 0; k = Math.floor(k / 2)) {
    if (k % 2 === 1) out *= base;
    base *= base;
  }
  return out;
}

/** e to the x; relative error below 1e-15 for |x| <= 700, 0 below that, held above it. */
export function exponential(x: number): number {
  if (x < -700) return 0;
  const y = Math.min(x, 700);
  const n = Math.round(y / LN_2);
  const r = y - n * LN_2_HI - n * LN_2_LO;
  // |r| <= 0.35: thirteen terms leave less than 1e-17.
  let sum = 1;
  for (let k = 13; k > 0; k--) sum = 1 + (r / k) * sum;
  return sum * powerOfTwo(n);
}

/** Natural logarithm of a positive number; relative error below 1e-15 away from 1, absolute below 1e-16 near it. */
export function logarithm(x: number): number {
  let m = x;
  let n = 0;
  while (m > ROOT_2) {
    m *= 0.5;
    n++;
  }
  while (m < ROOT_HALF) {
    m *= 2;
    n--;
  }
  // ln m = 2 artanh z, |z| <= 0.172: twelve terms leave less than 1e-19.
  const z = (m - 1) / (m + 1);
  const q = z * z;
  let sum = 1 / 25;
  for (let k = 23; k > 0; k -= 2) sum = 1 / k + q * sum;
  return n * LN_2_HI + (n * LN_2_LO + 2 * z * sum);
}

const TURN = 2 * Math.PI;
const HALF_TURN = Math.PI;
const QUARTER_TURN = 0.5 * Math.PI;

/** Remainder of an angle in [-pi, pi). */
export function wrapHalf(x_rad: number): number {
  return x_rad - TURN * Math.floor((x_rad + HALF_TURN) / TURN);
}

/** arctan(t) for 0 <= t <= 1: two halvings of the angle, then the series. */
function arcCore(t: number): number {
  const a = t / (1 + Math.sqrt(1 + t * t));
  const b = a / (1 + Math.sqrt(1 + a * a));
  const q = b * b;
  // b <= 0.2: twelve terms leave less than 1e-18.
  let sum = 1 / 25;
  for (let k = 23; k > 0; k -= 2) sum = 1 / k - q * sum;
  return 4 * b * sum;
}

/** Angle of the vector (x, y) in [-pi, pi]; 0 for the zero vector. Absolute error below 1e-15. */
export function angleOf(y: number, x: number): number {
  const ax = x < 0 ? -x : x;
  const ay = y < 0 ? -y : y;
  if (ax === 0 && ay === 0) return 0;
  const steep = ay > ax;
  const core = arcCore(steep ? ax / ay : ay / ax);
  const first = steep ? QUARTER_TURN - core : core;
  const half = x < 0 ? HALF_TURN - first : first;
  return y < 0 ? -half : half;
}
