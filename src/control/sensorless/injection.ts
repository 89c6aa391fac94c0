/**
 * Angle from saliency: a square voltage of half the PWM frequency along the estimated d axis, and what its ripple says.
 *
 * Scheme  the answer of each period is turned into the frame of its own command first, then two of opposite sign are differenced:
 *         fundamental current and its slope drop out. Without turning first the angle is off by 2.5 periods of turning.
 *         h_q / (V T) = dG/2 sin 2 delta + Gdq cos 2 delta; the cross term is taken off by its share of h_d, from the map.
 * Source  Yoon, Sul, Morimoto, Ide, "High-bandwidth sensorless algorithm for AC machines based on square-wave-type voltage
 *         injection", IEEE Trans. Ind. Appl. 47(3), 2011 (bibliography read); Guglielmi, Pastorelli, Vagati, on
 *         cross-saturation, IEEE Trans. Ind. Appl. 42(6), 2006 (bibliography read).
 */
import { cosine, sine } from '../../units/elementary.ts';
import type { MotorMap } from './motor-map.ts';

/** Largest believed error of one tick [rad]. */
const CLAMP_RAD = 0.5;
/** Ticks until two whole differences are there again after an interruption. */
const REFILL = 4;
/** Saliency below this share of the inverse d inductance says nothing: without any the answer would be nothing by nothing. */
const GAP_LEAST = 0.02;
/** Share of the full voltage below which the answer is mostly noise. */
const LEAST_SHARE = 0.7;

export class Injection {
  /** Error of the angle [rad]; 0 while there is none. */ error = 0;
  /** What the answer along d is of the one expected: 1 when the map is right and the axis is the d axis. */ match = 1;
  /** Sign of the next command. */ sign = 1;
  private readonly tick_s: number;
  private readonly least_V: number;
  /** Angle and signed voltage of the last three commands, newest first. */
  private readonly angle = new Float64Array(3);
  private readonly volt = new Float64Array(3);
  /** Last answer in the frame of its command. */ private d = 0;
  private q = 0;
  private alpha = 0;
  private beta = 0;
  private filled = 0;
  /** Slopes of the map at the last sample. */ private gdd = 0;
  private gqq = 0;
  private gdq = 0;

  /** @param full_V voltage that is injected when it is fully there */
  constructor(tick_s: number, full_V: number) {
    this.tick_s = tick_s;
    this.least_V = LEAST_SHARE * full_V;
  }

  reset(): void {
    this.filled = 0;
    this.error = 0;
    this.match = 1;
    this.volt.fill(0);
    this.sign = 1;
  }

  /** Remembers the command of this tick: the angle it was given at, and the voltage along d that was really added [V]. */
  sent(theta_rad: number, volt_V: number): void {
    const { angle, volt } = this;
    angle[2] = angle[1];
    angle[1] = angle[0];
    angle[0] = theta_rad;
    volt[2] = volt[1];
    volt[1] = volt[0];
    volt[0] = volt_V;
    this.sign = -this.sign;
  }

  /** Takes the sampled current [A]. Call before `sent`: what is seen answers the command of two ticks ago. */
  seen(iAlpha_A: number, iBeta_A: number, map: MotorMap): void {
    const da = iAlpha_A - this.alpha;
    const db = iBeta_A - this.beta;
    this.alpha = iAlpha_A;
    this.beta = iBeta_A;
    const c = cosine(this.angle[1]);
    const s = sine(this.angle[1]);
    const d = c * da + s * db;
    const q = c * db - s * da;
    const v = 0.5 * (this.volt[1] - this.volt[2]);
    const hd = 0.5 * (d - this.d);
    const hq = 0.5 * (q - this.q);
    this.d = d;
    this.q = q;
    this.filled = this.volt[1] !== 0 && this.volt[2] !== 0 ? Math.min(REFILL, this.filled + 1) : 0;
    this.error = 0;
    const size = v < 0 ? -v : v;
    if (this.filled < REFILL || size < this.least_V) {
      this.keep(map);
      return;
    }
    const per = 1 / (v * this.tick_s);
    // Both answers belong to a tip of the ripple each: the slopes of the map are those halfway.
    const gdd = 0.5 * (map.gdd + this.gdd);
    const gdq = 0.5 * (map.gdq + this.gdq);
    const gap = gdd - 0.5 * (map.gqq + this.gqq);
    this.keep(map);
    this.match = (per * hd) / gdd;
    if (gap < GAP_LEAST * gdd && gap > -GAP_LEAST * gdd) return;
    const raw = (per * (hq - (gdq / gdd) * hd)) / gap;
    this.error = Math.max(-CLAMP_RAD, Math.min(CLAMP_RAD, raw));
  }

  private keep(map: MotorMap): void {
    this.gdd = map.gdd;
    this.gqq = map.gqq;
    this.gdq = map.gdq;
  }
}
