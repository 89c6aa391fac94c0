/**
 * Is the rotor turning already, and where does it stand: two short zero vectors with the gates off between.
 *
 * Scheme  in a zero vector the EMF drives a current whose vector turns with the rotor. Speed from the turn between both tips,
 *         angle from the second tip and the arc that the flux of the magnet makes meanwhile. First one period; where the tip is
 *         too small, four periods; where that is too small as well, the rotor stands or is braked to a stand by the short.
 * Source  restart from the short-circuit current of a zero voltage vector: idea read in an abstract (Ajou University); the
 *         formula with the whole arc derived here, for R n T much below L.
 */
import { angleOf, cosine, sine, wrapHalf } from '../../units/elementary.ts';
import type { MotorFacts } from '../motor-facts.ts';

export const CHECKING = 0;
export const TURNS = 1;
export const STANDS = 2;

/** Tips below this are noise [A]. */
const TIP_LEAST_A = 4;
const TIP_GOOD_A = 8;
/** Zero-vector periods, and periods with the gates off between. */
const SHORT = 1;
const LONG = 4;
const GAP_SHORT = 3;
const GAP_LONG = 4;
/** Braking by the short of a rotor that turns too slowly to be measured [ticks]: 5 ms. */
const STOP_TICKS = 100;
const LATE = 2;

export class SpinCheck {
  /** Electrical angle [rad] at the end of the second vector, and speed [rad/s]. */ theta = 0;
  w = 0;
  /** The gates are to be on, all low, in this tick. */ on = false;
  private readonly tick_s: number;
  private readonly facts: MotorFacts;
  private tick = 0;
  private long = false;
  private stopping = false;
  private firstA = 0;
  private firstB = 0;

  constructor(tick_s: number, facts: MotorFacts) {
    this.tick_s = tick_s;
    this.facts = facts;
  }

  reset(): void {
    this.tick = 0;
    this.long = false;
    this.stopping = false;
    this.on = false;
  }

  /** One tick with the sampled current. */
  step(iAlpha_A: number, iBeta_A: number): number {
    const n = this.long ? LONG : SHORT;
    const gap = this.long ? GAP_LONG : GAP_SHORT;
    const t = this.tick++;
    if (this.stopping) {
      this.on = t < STOP_TICKS;
      return t < STOP_TICKS + LATE ? CHECKING : STANDS;
    }
    this.on = t < n || (t >= n + gap && t < 2 * n + gap);
    if (t === n - 1 + LATE) {
      this.firstA = iAlpha_A;
      this.firstB = iBeta_A;
    }
    if (t < 2 * n + gap - 1 + LATE) return CHECKING;
    return this.judge(iAlpha_A, iBeta_A, n, gap);
  }

  private judge(iAlpha_A: number, iBeta_A: number, n: number, gap: number): number {
    const size = Math.sqrt(iAlpha_A * iAlpha_A + iBeta_A * iBeta_A);
    const { facts, tick_s } = this;
    this.tick = 0;
    if (size < TIP_GOOD_A && !this.long) {
      this.long = true;
      return CHECKING;
    }
    if (size < TIP_LEAST_A) {
      this.stopping = true;
      return CHECKING;
    }
    const second = angleOf(iBeta_A, iAlpha_A);
    const first = angleOf(this.firstB, this.firstA);
    this.w = wrapHalf(second - first) / ((n + gap) * tick_s);
    const arc = this.w * n * tick_s;
    const d = (facts.lambda_Wb * (cosine(arc) - 1)) / facts.ld_H;
    const q = (-facts.lambda_Wb * sine(arc)) / facts.lq_H;
    this.theta = wrapHalf(second - angleOf(q, d));
    return TURNS;
  }
}
