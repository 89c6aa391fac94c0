/**
 * Three Hall switches that see the rotor magnet: 1 while cos(theta - phi) > 0. The time of the last edge is kept, as the
 * capture unit of a timer keeps it, by a straight line within the step.
 */
import { cosine, sine } from './elementary.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const COS = slot('cos');
const SIN = slot('sin');
const HALL = slot('hall');
const EDGE = slot('hallEdge');
const TICK = slot('tick');
const IN_PERIOD = slot('inPeriod');

const DT = work('dt');
const PERIOD = work('period');
const COS1 = work('cos1');
const SIN1 = work('sin1');

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

  /** Renews code and edge time for a step that is about to end: the state is its start, the scratch its end. */
  renew(x: Float64Array, w: Float64Array): void {
    for (let k = 0; k < 3; k++) {
      const to = this.c[k] * w[COS1] + this.s[k] * w[SIN1];
      const bit = 1 << k;
      if (to > 0 === ((x[HALL] & bit) !== 0)) continue;
      const from = this.c[k] * x[COS] + this.s[k] * x[SIN];
      x[EDGE] = x[TICK] * w[PERIOD] + x[IN_PERIOD] + (w[DT] * from) / (from - to);
      x[HALL] ^= bit;
    }
  }
}
