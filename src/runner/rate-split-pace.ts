/**
 * Beats in wall time, from an absolute clock, so that what one beat is late does not add up. After a hold-up beats follow
 * each other as fast as the board answers, or twice as fast as usual if it does not, until the time is made good; but for no
 * more than the cap. The rest is lost time, counted in beats.
 */

/** A clock that can be waited for. The runner has none of its own: whoever runs it brings one. */
export interface WallClock {
  /** Time since any fixed moment [s]. */ now_s(): number;
  /** Resolves at or after a time of this clock, always later than now, so that what has arrived meanwhile is heard. */
  waitUntil(at_s: number): Promise<void>;
  /** Lets what has arrived be heard, and comes back at once. */ turn(): Promise<void>;
}

/** Time that is made good at most [s]. */
export const CATCH_UP_S = 0.05;
/** Part of an interval that a board has for its answer when time is made good. */
const LEAST_SHARE = 0.5;

export class BeatPacer {
  private readonly clock: WallClock;
  private readonly tick_s: number;
  private start_s = 0;
  private beats = 0;
  private last_s = 0;

  constructor(clock: WallClock, tick_s: number) {
    this.clock = clock;
    this.tick_s = tick_s;
  }

  /** The first beat is now. */
  start(): void {
    this.start_s = this.clock.now_s();
    this.last_s = this.start_s;
    this.beats = 0;
  }

  /**
   * Waits for the next beat; resolves with the beats that are lost because it came too late.
   *
   * @param answered whether all that was sent has its answer
   */
  async next(answered: () => boolean): Promise<number> {
    const { clock, tick_s } = this;
    this.beats++;
    const due_s = this.start_s + this.beats * tick_s;
    await clock.waitUntil(due_s);
    const least_s = this.last_s + LEAST_SHARE * tick_s;
    while (clock.now_s() < least_s && !answered()) await clock.turn();
    this.last_s = clock.now_s();
    const behind_s = this.last_s - due_s;
    if (behind_s <= CATCH_UP_S) return 0;
    const lost = Math.ceil((behind_s - CATCH_UP_S) / tick_s - 1e-6);
    this.start_s += lost * tick_s;
    return lost;
  }
}
