/**
 * How long a press takes to turn the chuck.
 *
 * Motion  the time from the press to the first sample with a chuck speed above 1 rad/s, either way.
 * Torque  the time to the first sample whose air-gap torque is above 20 % of the later mean: that of the press from the
 *         first motion on, with its sign. The mean is known only later, so every new extreme is kept with its time.
 * A press at which the chuck still turns is no start. Resolution: one tick.
 */
import { SIGNAL_INDEX as S } from '../../signals.ts';
import { type Figure, type FigureKind, figureOf } from './figure.ts';
import type { Presses } from './presses.ts';

/** Slower than this the chuck stands [rad/s]. */
export const MOVES_RAD_S = 1;
/** Share of the later mean torque that counts as torque. */
export const TORQUE_SHARE = 0.2;

export interface Start {
  readonly at_s: number;
  /** Press to motion; null when the chuck never moved. */ readonly chuck_s: number | null;
  /** Press to torque; null when the chuck never moved. */ readonly torque_s: number | null;
  /** The chuck was turning already. */ readonly turning: boolean;
}

/** The new extremes of a press, each with its time; grows by doubling. */
class Ladder {
  private rungs = new Float64Array(256);
  private count = 0;
  private top = 0;

  clear(): void {
    this.count = 0;
    this.top = 0;
  }

  see(sample: Float64Array, sign: 1 | -1): void {
    const torque = sign * sample[S.airGapTorque];
    if (!(torque > this.top)) return;
    if (this.count === this.rungs.length) {
      const longer = new Float64Array(2 * this.count);
      longer.set(this.rungs);
      this.rungs = longer;
    }
    this.rungs[this.count++] = sample[S.time];
    this.rungs[this.count++] = torque;
    this.top = torque;
  }

  /** Time of the first value above the level, NaN when there is none. */
  firstAbove(level: number): number {
    for (let k = 0; k < this.count; k += 2) if (this.rungs[k + 1] > level) return this.rungs[k];
    return Number.NaN;
  }
}

const time = { unit: 's', show: 'ms', better: 'lower' } as const;
const CHUCK: FigureKind = { id: 'startChuck', what: 'press to chuck motion, longest', ...time };
const TORQUE: FigureKind = { id: 'startTorque', what: 'press to torque, longest', ...time };

export class Starts {
  private readonly presses: Presses;
  private readonly starts: Start[] = [];
  private readonly forth = new Ladder();
  private readonly back = new Ladder();
  private speed = 0;
  private open = false;
  private at_s = 0;
  private turning = false;
  private moved_s = Number.NaN;
  private sum = 0;
  private count = 0;

  /** @param presses of the same run; sees each sample before this does */
  constructor(presses: Presses) {
    this.presses = presses;
  }

  see(sample: Float64Array): void {
    const { edge, pressed } = this.presses;
    if (edge === -1) this.close();
    if (edge === 1) this.begin();
    this.speed = Math.abs(sample[S.chuckSpeed]);
    if (!pressed) return;
    this.forth.see(sample, 1);
    this.back.see(sample, -1);
    if (Number.isNaN(this.moved_s) && this.speed > MOVES_RAD_S) this.moved_s = sample[S.time];
    if (Number.isNaN(this.moved_s)) return;
    this.sum += sample[S.airGapTorque];
    this.count++;
  }

  private begin(): void {
    const { list } = this.presses;
    this.open = true;
    this.at_s = list[list.length - 1].from_s;
    this.turning = this.speed > MOVES_RAD_S;
    this.moved_s = Number.NaN;
    this.sum = 0;
    this.count = 0;
    this.forth.clear();
    this.back.clear();
  }

  private close(): void {
    if (this.open) this.starts.push(this.present());
    this.open = false;
  }

  private present(): Start {
    const { at_s } = this;
    const mean = this.sum / this.count;
    const torque_s = (mean > 0 ? this.forth : this.back).firstAbove(TORQUE_SHARE * Math.abs(mean));
    const since = (moment_s: number) => (Number.isNaN(moment_s) ? null : moment_s - at_s);
    const moved = !this.turning && !Number.isNaN(this.moved_s);
    return {
      at_s,
      chuck_s: moved ? since(this.moved_s) : null,
      torque_s: moved ? since(torque_s) : null,
      turning: this.turning,
    };
  }

  /** All presses so far, one that lasts included. */
  list(): Start[] {
    return this.open ? [...this.starts, this.present()] : [...this.starts];
  }

  figures(): Figure[] {
    const all = this.list();
    const starts = all.filter(({ turning }) => !turning);
    const still = starts.filter(({ chuck_s }) => chuck_s === null).length;
    const why =
      all.length === 0
        ? 'the trigger was never pressed'
        : starts.length === 0
          ? 'the chuck was turning at every press'
          : `${still} of ${starts.length} presses did not turn the chuck`;
    const longest = (times: readonly (number | null)[]) =>
      starts.length === 0 || still > 0 ? Number.NaN : Math.max(...times.map((t) => t ?? Number.NaN));
    return [
      figureOf(CHUCK, longest(starts.map((s) => s.chuck_s)), why),
      figureOf(TORQUE, longest(starts.map((s) => s.torque_s)), still > 0 || starts.length === 0 ? why : 'no torque'),
    ];
  }
}
