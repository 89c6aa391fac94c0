/**
 * Three Hall switches that see the rotor magnet: 1 while cos(theta - phi) > 0. The time of the last edge is kept, as the
 * capture unit of a timer keeps it, by a straight line within the step.
 */
import { cosine, sine } from './elementary.ts';
import { slot } from './slots.ts';

const COS = slot('cos');
const SIN = slot('sin');
const HALL = slot('hall');
const EDGE = slot('hallEdge');

export class Halls {
  private readonly c: Float64Array;
  private readonly s: Float64Array;

  constructor(angles_rad: readonly number[]) {
    this.c = Float64Array.from(angles_rad, cosine);
    this.s = Float64Array.from(angles_rad, sine);
  }

  /** Hall code for the present angle, A + 2 B + 4 C. */
  code(x: Float64Array): number {
    let code = 0;
    for (let k = 0; k < 3; k++) if (this.c[k] * x[COS] + this.s[k] * x[SIN] > 0) code |= 1 << k;
    return code;
  }

  /** Renews code and edge time after a stretch from (c0, s0) to the state, from start_s on, of length dt_s. */
  renew(x: Float64Array, c0: number, s0: number, start_s: number, dt_s: number): void {
    const code = this.code(x);
    const changed = code ^ x[HALL];
    if (changed === 0) return;
    for (let k = 0; k < 3; k++) {
      if (((changed >> k) & 1) === 0) continue;
      const from = this.c[k] * c0 + this.s[k] * s0;
      const to = this.c[k] * x[COS] + this.s[k] * x[SIN];
      x[EDGE] = start_s + (dt_s * from) / (from - to);
    }
    x[HALL] = code;
  }
}
