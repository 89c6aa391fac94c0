/**
 * Magnet flux and its angle while the rotor turns, from volt-seconds alone.
 *
 * Scheme  psi' = u - R i - leak psi; at speed w the leak turns and shrinks the flux by 1 / (1 - j leak / w), which is taken back. What an offset
 *         adds dies with the leak instead of growing. Less L i it is the flux of the magnet. A third-order loop follows its
 *         angle: no standing error while the rotor accelerates.
 * Source  voltage model with leak: Hu, Wu, "New integration algorithms for estimating motor flux over a wide speed range", IEEE
 *         Trans. Power Electron. 13(5), 1998 (bibliography read); the loop is a textbook one, from memory.
 */
import { angleOf, cosine, sine, wrapHalf } from '../../units/elementary.ts';
import type { PowerStage } from './power-stage.ts';

/** Leak [rad/s]: start-up errors are gone after 40 ms. */
export const LEAK_RAD_S = 100;
/** Poles of the loop [rad/s]. */
const BAND_RAD_S = 500;

export class FluxAngle {
  /** Followed angle [rad], speed [rad/s] electrical, acceleration [rad/s^2]. */ theta = 0;
  w = 0;
  accel = 0;
  /** Length of the magnet flux [Wb], and how far its angle is from the followed one [rad]. */ size_Wb = 0;
  error_rad = 0;
  private psiAlpha = 0;
  private psiBeta = 0;
  private following = false;

  reset(): void {
    this.psiAlpha = 0;
    this.psiBeta = 0;
    this.size_Wb = 0;
    this.following = false;
  }

  /** Follows from the next step on. */
  follow(theta_rad: number, w_rad_s: number): void {
    this.theta = theta_rad;
    this.w = w_rad_s;
    this.accel = 0;
    this.following = true;
  }

  /** One tick. @param w_rad_s speed that the leak is taken back with; that of the loop while it follows */
  step(stage: PowerStage, tick_s: number, r_ohm: number, henry: number, w_rad_s: number): void {
    const t = tick_s;
    this.psiAlpha += t * (stage.uAlpha - r_ohm * stage.meanAlpha - LEAK_RAD_S * this.psiAlpha);
    this.psiBeta += t * (stage.uBeta - r_ohm * stage.meanBeta - LEAK_RAD_S * this.psiBeta);
    if (this.following) {
      this.theta = wrapHalf(this.theta + t * this.w);
      this.w += t * this.accel;
    }
    const w = this.following ? this.w : w_rad_s;
    const leak = w > 1 || w < -1 ? LEAK_RAD_S / w : 0;
    // (1 - j leak) psi - L i
    const a = this.psiAlpha + leak * this.psiBeta - henry * stage.iAlpha;
    const b = this.psiBeta - leak * this.psiAlpha - henry * stage.iBeta;
    this.size_Wb = Math.sqrt(a * a + b * b);
    if (!this.following) {
      this.theta = angleOf(b, a);
      return;
    }
    const c = cosine(this.theta);
    const s = sine(this.theta);
    const e = angleOf(c * b - s * a, c * a + s * b);
    this.error_rad = e;
    this.theta = wrapHalf(this.theta + 3 * BAND_RAD_S * t * e);
    this.w += 3 * BAND_RAD_S * BAND_RAD_S * t * e;
    this.accel += BAND_RAD_S * BAND_RAD_S * BAND_RAD_S * t * e;
  }
}
