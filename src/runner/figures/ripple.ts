/**
 * Ripple of the air-gap torque while the controller reports that it runs and the speed is steady.
 *
 * Window  20 ms, or one electrical turn where that takes longer, so that a window holds whole turns of the field at crawling
 *         speed too. One follows the other while the controller runs; a window counts when the spread of the motor speed in
 *         it is within 2 % of its mean.
 * Ripple  standard deviation within the windows that count, so that a load which grows slowly is no ripple, over the
 *         magnitude of their mean torque. Peak to peak: the largest of a window.
 */
import { STATE_RUNNING } from '../../protocol/frames.ts';
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { type Figure, type FigureKind, figureOf } from './figure.ts';

/** Shortest window [s]. */
export const WINDOW_S = 0.02;
/** Largest spread of the speed in a window that counts, as a share of its mean. */
export const STEADY_SHARE = 0.02;
/** A window end counts as reached this much early: rounding of the time, not time that is missing [s]. */
const SLACK_S = 1e-9;

const RIPPLE: FigureKind = {
  id: 'torqueRipple',
  what: 'torque ripple at steady speed, std over mean',
  unit: '',
  show: '%',
  better: 'lower',
};
const PEAKS: FigureKind = {
  id: 'torquePeakToPeak',
  what: 'torque ripple at steady speed, peak to peak',
  unit: 'N·m',
  show: 'N·m',
  better: 'lower',
};
const STEADY: FigureKind = {
  id: 'steadyTime',
  what: 'time at steady speed, running',
  unit: 's',
  show: 's',
  better: null,
};

export class TorqueRipple {
  // of the window that runs
  private from_s = 0;
  private last_s = 0;
  private turned_rad = 0;
  private count = 0;
  private first = 0;
  private sum = 0;
  private squares = 0;
  private least = 0;
  private most = 0;
  private speedSum = 0;
  private slowest = 0;
  private fastest = 0;
  // of those that counted
  private steadyCount = 0;
  private steadySum = 0;
  private deviations = 0;
  private steady_s = 0;
  private peaks = 0;

  see(sample: Float64Array): void {
    const now_s = sample[S.time];
    if (sample[S.controllerState] !== STATE_RUNNING) {
      this.count = 0;
      this.last_s = now_s;
      return;
    }
    const torque = sample[S.airGapTorque];
    const speed = sample[S.motorSpeed];
    if (this.count === 0) this.begin(torque, speed);
    this.count++;
    this.sum += torque - this.first;
    this.squares += (torque - this.first) * (torque - this.first);
    this.least = Math.min(this.least, torque);
    this.most = Math.max(this.most, torque);
    this.speedSum += speed;
    this.slowest = Math.min(this.slowest, speed);
    this.fastest = Math.max(this.fastest, speed);
    this.turned_rad += Math.abs(sample[S.electricalSpeed]) * (now_s - this.last_s);
    this.last_s = now_s;
    const length_s = now_s - this.from_s;
    if (length_s >= WINDOW_S - SLACK_S && this.turned_rad >= 2 * Math.PI) this.end(length_s);
  }

  private begin(torque: number, speed: number): void {
    this.first = torque;
    this.least = torque;
    this.most = torque;
    this.slowest = speed;
    this.fastest = speed;
    this.sum = 0;
    this.squares = 0;
    this.speedSum = 0;
    this.turned_rad = 0;
    this.from_s = this.last_s;
  }

  private end(length_s: number): void {
    const { count } = this;
    this.count = 0;
    if (this.fastest - this.slowest > STEADY_SHARE * Math.abs(this.speedSum / count)) return;
    this.steadyCount += count;
    this.steadySum += Math.abs(this.sum + count * this.first);
    this.deviations += Math.max(0, this.squares - (this.sum * this.sum) / count);
    this.steady_s += length_s;
    this.peaks = Math.max(this.peaks, this.most - this.least);
  }

  figures(): Figure[] {
    const why = 'the speed was never steady';
    const mean = this.steadySum / this.steadyCount;
    const deviation = Math.sqrt(this.deviations / this.steadyCount);
    return [
      figureOf(RIPPLE, deviation / mean, this.steadyCount > 0 ? 'there was no torque at steady speed' : why),
      figureOf(PEAKS, this.steadyCount > 0 ? this.peaks : Number.NaN, why),
      figureOf(STEADY, this.steady_s, why),
    ];
  }
}
