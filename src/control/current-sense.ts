/**
 * Phase currents from shunt counts: offset calibration, scaling, and the one current that the loop controls.
 *
 * Offset  mean of N samples with all gates off: its deviation is that of the noise over sqrt(N), here 0.2 count. A
 *         motor that still turns fast enough can drive current through the diodes, so a stretch that is not quiet is
 *         measured again.
 * Source  common practice, from memory; S. Chung and S. Sul, IEEE Trans. Industry Applications 34(2), 1998, on what
 *         offset errors do.
 */
import { NOT_FITTED, type Sense } from '../protocol/frames.ts';
import { BOARD } from './settings.ts';

/** Ticks over which the offsets are averaged: 6.4 ms. */
export const OFFSET_TICKS = 128;
/** Largest believed offset: 5 % of the range [counts]. */
const OFFSET_MOST = 0.05 * BOARD.range_counts;
/** Noise of 2 counts spans about 12 counts in 128 samples; more than this is a current [counts]. */
const QUIET_SPAN = 32;

export const CALIBRATING = 0;
export const CALIBRATED = 1;
export const OFFSET_BAD = 2;

export class CurrentSense {
  /** Phase currents of this tick [A], positive into the motor; valid once calibrated. */
  readonly phase_A = new Float64Array(3);
  /** Largest magnitude among them [A]. */ largest_A = 0;
  /** Reading of each channel at no current [counts]; nominal until calibrated. */
  readonly zero_counts = new Float64Array(3);
  private readonly counts = new Float64Array(3);
  private readonly sum = new Float64Array(3);
  private readonly low = new Float64Array(3);
  private readonly high = new Float64Array(3);
  private taken = 0;

  /** Forgets the offsets; calibration starts anew. */
  reset(): void {
    this.taken = 0;
    this.zero_counts.fill(BOARD.currentZero_counts);
    this.largest_A = 0;
    this.phase_A.fill(0);
  }

  /** Takes one sample with the gates off. */
  calibrate(sense: Sense): number {
    this.take(sense);
    if (this.taken === 0) {
      this.sum.fill(0);
      this.low.fill(Number.POSITIVE_INFINITY);
      this.high.fill(0);
    }
    for (let k = 0; k < 3; k++) {
      const n = this.counts[k];
      this.sum[k] += n;
      this.low[k] = Math.min(this.low[k], n);
      this.high[k] = Math.max(this.high[k], n);
    }
    this.taken += 1;
    return this.taken < OFFSET_TICKS ? CALIBRATING : this.judge();
  }

  private judge(): number {
    this.taken = 0;
    for (let k = 0; k < 3; k++) {
      if (this.counts[k] === NOT_FITTED) continue;
      if (this.high[k] - this.low[k] > QUIET_SPAN) return CALIBRATING;
    }
    for (let k = 0; k < 3; k++) {
      if (this.counts[k] === NOT_FITTED) continue;
      this.zero_counts[k] = this.sum[k] / OFFSET_TICKS;
      if (Math.abs(this.zero_counts[k] - BOARD.currentZero_counts) >= OFFSET_MOST) return OFFSET_BAD;
    }
    return CALIBRATED;
  }

  /** Turns the counts of this tick into currents. A shunt that is not fitted follows from the other two. */
  measure(sense: Sense): void {
    this.take(sense);
    let missing = -1;
    let sum_A = 0;
    for (let k = 0; k < 3; k++) {
      if (this.counts[k] === NOT_FITTED) {
        missing = k;
      } else {
        this.phase_A[k] = (this.counts[k] - this.zero_counts[k]) * BOARD.currentPerCount_A;
        sum_A += this.phase_A[k];
      }
    }
    if (missing >= 0) this.phase_A[missing] = -sum_A;
    this.largest_A = Math.max(Math.abs(this.phase_A[0]), Math.abs(this.phase_A[1]), Math.abs(this.phase_A[2]));
  }

  /**
   * Current through the pair of legs [A], positive when it drives. In the tick after a commutation one of the two legs
   * is new and still empty while the other one carries the current on, so the larger one counts.
   */
  pair_A(high: number, low: number): number {
    const out = this.phase_A[high];
    const back = -this.phase_A[low];
    return Math.abs(out) > Math.abs(back) ? out : back;
  }

  private take(sense: Sense): void {
    this.counts[0] = sense.ia;
    this.counts[1] = sense.ib;
    this.counts[2] = sense.ic;
  }
}
