/**
 * Follows an angle from its error signal: angle, speed and acceleration.
 *
 * Scheme  third order with three equal poles at w_o: no standing error under constant acceleration. The acceleration is held
 *         within what the torque limit can do.
 * Source  phase-locked loop of third order, textbook (from memory); its noise and lag: closed forms derived from its poles.
 */
import { wrapHalf } from '../../units/elementary.ts';

export class Tracker {
  /** Electrical angle [rad], speed [rad/s], acceleration [rad/s^2]. */ theta = 0;
  w = 0;
  accel = 0;
  private readonly tick_s: number;
  private readonly most: number;

  /** @param tick_s time between calls @param most_rad_s2 largest acceleration of the drive */
  constructor(tick_s: number, most_rad_s2: number) {
    this.tick_s = tick_s;
    this.most = most_rad_s2;
  }

  preset(theta_rad: number, w_rad_s: number): void {
    this.theta = wrapHalf(theta_rad);
    this.w = w_rad_s;
    this.accel = 0;
  }

  /** Turns the angle on by one tick. */
  advance(): void {
    this.theta = wrapHalf(this.theta + this.tick_s * this.w);
  }

  /** Takes the error of the angle [rad] at a bandwidth [rad/s]. */
  correct(error_rad: number, band_rad_s: number): void {
    const { tick_s: t } = this;
    const e = error_rad;
    const b = band_rad_s;
    this.theta = wrapHalf(this.theta + 3 * b * t * e);
    this.w += t * (this.accel + 3 * b * b * e);
    const accel = this.accel + t * b * b * b * e;
    this.accel = Math.max(-this.most, Math.min(this.most, accel));
  }
}
