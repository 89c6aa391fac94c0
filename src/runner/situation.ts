/**
 * What the drill is doing, so that a fault can be told by what it met: seen from trigger, direction switch and rotor alone,
 * which a drill has with any controller. Allocates nothing while it follows.
 *
 * The speeds are shares of the 2000 rad/s that a drill of this class reaches without load; common practice, no source.
 */
import { SIGNAL_INDEX } from '../signals.ts';

/** In the order in which a table has them. */
export const SITUATIONS = Object.freeze({
  rest: 'at rest',
  start: 'starting up',
  slow: 'slow',
  fast: 'fast',
  stall: 'stalled',
  reversal: 'reversing',
  coast: 'coasting or braking',
});
export type Situation = keyof typeof SITUATIONS;

/** A rotor slower than this counts as standing, 1 % [rad/s]. */
const STANDING_RAD_S = 20;
/** From here a start is over: the rotor turns fast enough for its voltage to be seen, 10 % [rad/s]. */
const UP_RAD_S = 200;
/** Half of full speed [rad/s]. */
const FAST_RAD_S = 1000;
/** A start that has taken longer is one no more: what still stands then is stalled [s]. */
const START_S = 0.1;

export class Situations {
  /** What it was doing in the sample that was seen last. */ now: Situation = 'rest';
  private since_s = Number.NaN;
  private up = false;
  /** The rotor has not yet followed the direction that was chosen. */ private against = false;
  private way: number | undefined;

  /** @param direction that the hand has chosen: 1 in, 0 locked, -1 out; undefined where nobody knows it */
  see(sample: Float64Array, direction: number | undefined): Situation {
    const speed_rad_s = sample[SIGNAL_INDEX.motorSpeed];
    if (sample[SIGNAL_INDEX.trigger] > 0 && direction !== 0) {
      this.now = this.driven(sample[SIGNAL_INDEX.time], speed_rad_s, direction);
    } else {
      this.since_s = Number.NaN;
      this.now = Math.abs(speed_rad_s) > STANDING_RAD_S ? 'coast' : 'rest';
    }
    return this.now;
  }

  private driven(now_s: number, speed_rad_s: number, direction: number | undefined): Situation {
    const speed = Math.abs(speed_rad_s);
    if (Number.isNaN(this.since_s) || direction !== this.way) {
      this.way = direction;
      this.against = true;
    }
    // A rotor that is thrown back by a stop turns against the direction too; that is no reversal.
    if (this.against) {
      if (direction !== undefined && speed > STANDING_RAD_S && speed_rad_s * direction < 0) {
        this.since_s = now_s;
        return 'reversal';
      }
      this.against = false;
      this.since_s = now_s;
      this.up = false;
    }
    if (speed >= UP_RAD_S || now_s - this.since_s > START_S) this.up = true;
    if (!this.up) return 'start';
    if (speed <= STANDING_RAD_S) return 'stall';
    return speed >= FAST_RAD_S ? 'fast' : 'slow';
  }
}
