/** Waves that are constant over each PWM period, and their harmonics over a turn. */

/** Three voltages less their common mode: what a floating star sees [V]. */
export function withoutStar(poles: readonly number[]): number[] {
  const star = (poles[0] + poles[1] + poles[2]) / 3;
  return poles.map((v) => v - star);
}

/** Vector of three voltages, amplitude-invariant: alpha and beta [V]. */
export function vectorOf(poles: readonly number[]): { alpha: number; beta: number; length: number } {
  const alpha = (2 * poles[0] - poles[1] - poles[2]) / 3;
  const beta = (poles[1] - poles[2]) / Math.sqrt(3);
  return { alpha, beta, length: Math.hypot(alpha, beta) };
}

/**
 * Peak of the n-th harmonic of a wave that holds each of its values for an equal part of one turn. The integral of a
 * step against cosine and sine is taken in closed form, so corners between steps cost nothing.
 */
export function harmonic(steps: readonly number[], n: number): { cos: number; sin: number; peak: number } {
  const wide = (2 * Math.PI) / steps.length;
  let cos = 0;
  let sin = 0;
  steps.forEach((value, k) => {
    cos += (value * (Math.sin(n * wide * (k + 1)) - Math.sin(n * wide * k))) / (Math.PI * n);
    sin -= (value * (Math.cos(n * wide * (k + 1)) - Math.cos(n * wide * k))) / (Math.PI * n);
  });
  return { cos, sin, peak: Math.hypot(cos, sin) };
}
