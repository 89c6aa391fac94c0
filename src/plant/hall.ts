/**
 * Three Hall switches that see the rotor magnet: 1 while cos(theta - phi) > 0. The time of the last edge is kept, as the
 * capture unit of a timer keeps it.
 *
 * Scheme  once an update, from the angle at its start and the speeds at both ends: theta(t) = theta0 + w0 t + a t^2 / 2. The
 *         zero of the cosine is closed in by halving; 24 halvings leave 1e-11 s of 100 us.
 */
import { cosine, sine } from '../units/elementary.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const COS = slot('cos');
const SIN = slot('sin');
const FRAME_COS = slot('frameCos');
const FRAME_SIN = slot('frameSin');
const START = slot('rotorStart');
const ROTOR = slot('rotorSpeed');
const HALL = slot('hall');
const EDGE = slot('hallEdge');
const TICK = slot('tick');
const PERIOD = work('period');

const HALVINGS = 24;

export class Halls {
  private readonly c: Float64Array;
  private readonly s: Float64Array;
  private readonly polePairs: number;

  constructor(angles_rad: readonly number[], polePairs: number) {
    this.c = Float64Array.from(angles_rad, cosine);
    this.s = Float64Array.from(angles_rad, sine);
    this.polePairs = polePairs;
  }

  /** Hall code for the present angle, A + 2 B + 4 C. */
  code(x: Float64Array): number {
    let code = 0;
    for (let k = 0; k < 3; k++) if (this.c[k] * x[COS] + this.s[k] * x[SIN] > 0) code |= 1 << k;
    return code;
  }

  /** Start of an update: what the end will be compared with. */
  begin(x: Float64Array): void {
    x[FRAME_COS] = x[COS];
    x[FRAME_SIN] = x[SIN];
    x[START] = x[ROTOR];
  }

  /** End of an update, before the tick is counted: renews code and time of the last edge. */
  end(x: Float64Array, w: Float64Array): void {
    const now = this.code(x);
    if (now === x[HALL]) return;
    let latest = x[EDGE];
    for (let k = 0; k < 3; k++) {
      if (((now ^ x[HALL]) & (1 << k)) === 0) continue;
      const at = x[TICK] * w[PERIOD] + this.edgeIn(x, w, k);
      if (at > latest) latest = at;
    }
    x[EDGE] = latest;
    x[HALL] = now;
  }

  /** Time within the update at which Hall k has its edge [s]. */
  private edgeIn(x: Float64Array, w: Float64Array, k: number): number {
    const t = w[PERIOD];
    const across = this.c[k] * x[FRAME_COS] + this.s[k] * x[FRAME_SIN];
    const along = this.c[k] * x[FRAME_SIN] - this.s[k] * x[FRAME_COS];
    const from = across > 0;
    const w0 = this.polePairs * x[START];
    const a = (this.polePairs * (x[ROTOR] - x[START])) / t;
    let low = 0;
    let high = t;
    for (let n = 0; n < HALVINGS; n++) {
      const mid = 0.5 * (low + high);
      const turn = mid * (w0 + 0.5 * a * mid);
      if (across * cosine(turn) - along * sine(turn) > 0 === from) low = mid;
      else high = mid;
    }
    return 0.5 * (low + high);
  }
}
