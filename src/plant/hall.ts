/**
 * Three Hall switches that see the rotor magnet: 1 while cos(theta - phi) > 0, phi their place. The time of the last edge on a
 * line is kept, as the capture unit of a timer keeps it.
 *
 * Scheme  once an update, from the angle at its start and the speeds at both ends: theta(t) = theta0 + w0 t + a t^2 / 2. The
 *         zero of the cosine is closed in by halving; 24 halvings leave 1e-11 s of 100 us. Far from where the arctangent has it,
 *         each half is known without another sine: the same bits in a tenth of the time.
 * Damage  a Hall may sit elsewhere, be at another line, its line may stand still or read the opposite for an update. An edge
 *         that no sensor made falls anywhere in the update.
 */
import { angleOf, cosine, sine } from '../units/elementary.ts';
import { PHASE_OF_LEG } from './axes.ts';
import { drawEven } from './random.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const COS = slot('cos');
const SIN = slot('sin');
const FRAME_COS = slot('frameCos');
const FRAME_SIN = slot('frameSin');
const START = slot('rotorStart');
const ROTOR = slot('rotorSpeed');
const HALL = slot('hall');
const SENSORS = slot('hallSensors');
const EDGE = slot('hallEdge');
const TICK = slot('tick');
const CHANCE = slot('chance');
const STUCK = slot('hallStuckA');
const SWAPPED = slot('hallsSwapped');
const TURN = slot('hallTurnA');
const GLITCH = slot('hallGlitchA');
const PERIOD = work('period');

const HALVINGS = 24;
/** Share of an update farther than which from the expected edge no rounding reaches; a rotor that all but rests is left to halving. */
const SURE = 1e-9;
const RESTS_RAD = 1e-6;

export class Halls {
  private readonly c: Float64Array;
  private readonly s: Float64Array;
  private readonly polePairs: number;

  constructor(angles_rad: readonly number[], polePairs: number) {
    this.c = Float64Array.from(angles_rad, cosine);
    this.s = Float64Array.from(angles_rad, sine);
    this.polePairs = polePairs;
  }

  /** Code of the sensors for the present angle, A + 2 B + 4 C. */
  code(x: Float64Array): number {
    let code = 0;
    for (let k = 0; k < 3; k++) if (this.across(x, k, x[COS], x[SIN]) > 0) code |= 1 << k;
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
    const sensors = this.code(x);
    const lines = this.lines(x, sensors);
    const moved = sensors ^ x[SENSORS];
    x[SENSORS] = sensors;
    if (lines === x[HALL]) return;
    let latest = x[EDGE];
    for (let k = 0; k < 3; k++) {
      if (((lines ^ x[HALL]) & (1 << k)) === 0) continue;
      const sensor = PHASE_OF_LEG[3 * x[SWAPPED] + k];
      const within = ((moved >> sensor) & 1) === 1 ? this.edgeIn(x, w, sensor) : drawEven(x, CHANCE) * w[PERIOD];
      const at = x[TICK] * w[PERIOD] + within;
      if (at > latest) latest = at;
    }
    x[EDGE] = latest;
    x[HALL] = lines;
  }

  /** What the three lines say while the sensors say `sensors`. */
  private lines(x: Float64Array, sensors: number): number {
    let code = 0;
    for (let k = 0; k < 3; k++) {
      let level = (sensors >> PHASE_OF_LEG[3 * x[SWAPPED] + k]) & 1;
      if (x[STUCK + k] !== 0) level = x[STUCK + k] === 1 ? 0 : 1;
      if (x[GLITCH + k] > 0 && drawEven(x, CHANCE) < x[GLITCH + k]) level = 1 - level;
      code |= level << k;
    }
    return code;
  }

  /** Cosine of the angle from Hall k to a rotor of the given cosine and sine. */
  private across(x: Float64Array, k: number, cos: number, sin: number): number {
    const straight = this.c[k] * cos + this.s[k] * sin;
    if (x[TURN + k] === 0) return straight;
    return straight * cosine(x[TURN + k]) + (this.c[k] * sin - this.s[k] * cos) * sine(x[TURN + k]);
  }

  /** Sine of that angle. */
  private along(x: Float64Array, k: number, cos: number, sin: number): number {
    const straight = this.c[k] * sin - this.s[k] * cos;
    if (x[TURN + k] === 0) return straight;
    return straight * cosine(x[TURN + k]) - (this.c[k] * cos + this.s[k] * sin) * sine(x[TURN + k]);
  }

  /** Time within the update at which Hall k has its edge [s]. */
  private edgeIn(x: Float64Array, w: Float64Array, k: number): number {
    const t = w[PERIOD];
    const across = this.across(x, k, x[FRAME_COS], x[FRAME_SIN]);
    const along = this.along(x, k, x[FRAME_COS], x[FRAME_SIN]);
    const from = across > 0;
    const w0 = this.polePairs * x[START];
    const a = (this.polePairs * (x[ROTOR] - x[START])) / t;
    const expected = this.edgeExpected(across, along, w0, a, t);
    let low = 0;
    let high = t;
    for (let n = 0; n < HALVINGS; n++) {
      const mid = 0.5 * (low + high);
      const off = mid - expected;
      let earlier = off < 0;
      if (!(off < -SURE * t || off > SURE * t)) {
        const turn = mid * (w0 + 0.5 * a * mid);
        earlier = across * cosine(turn) - along * sine(turn) > 0 === from;
      }
      if (earlier) low = mid;
      else high = mid;
    }
    return 0.5 * (low + high);
  }

  /** Where the edge is to be expected by the arctangent [s]; NaN where the rotor turns back or by more than a quarter, or rests. */
  private edgeExpected(across: number, along: number, w0: number, a: number, t: number): number {
    const end = w0 + a * t;
    const swept = 0.5 * (w0 + end) * t;
    if (!(w0 * end > 0) || Math.abs(swept) < RESTS_RAD || Math.abs(swept) > 1.5) return Number.NaN;
    const zero = along < 0 ? angleOf(-across, -along) : angleOf(across, along);
    return (2 * zero) / (w0 + Math.sign(w0) * Math.sqrt(w0 * w0 + 2 * a * zero));
  }
}
