/**
 * Pacing from an absolute clock: how much virtual time is due now. A timer that comes late is caught up, but never by
 * more than the cap; the rest is booked as lost and shown, because a run with lost time did not happen in real time.
 */

/**
 * Most wall time that is caught up [s]. A tab that was asleep drops the rest instead of freezing. Up to about 0.1 s what follows an
 * action still feels immediate (from memory: R. B. Miller, 1968), so a hand on the trigger does not notice what is caught up; with
 * 0.05 s, hiccups of two busy cores were lost that nobody would have felt. Boards that keep their own time: rate-split-pace.ts.
 */
export const CATCH_UP_S = 0.1;
/** Pause between two looks at the clock when nothing is due [ms]. Browsers clamp nested timers to 4 ms. */
export const SLICE_MS = 4;
/** Longest turn without letting messages in [ms]: Stop waits for one at most and acts within 5 ms. */
export const TURN_MS = 3;
/** Span over which the reached ratio is averaged [s]. */
const RATIO_SPAN_S = 1;

export class Pacer {
  /** Virtual seconds per wall second asked for. */ pace = 1;
  /** False when virtual time may fall behind without being lost: a drill that waits for every answer skips nothing. */
  books = true;
  /** Wall time dropped since `start` was first called, in virtual seconds [s]. */ lost_s = 0;
  /** Virtual seconds per wall second reached over the last second or so. */ ratio = 0;
  private last_s = Number.NaN;
  private due_s = 0;
  private spanWall_s = 0;
  private spanVirtual_s = 0;

  /** Starts the clock at `now_s`; what went by before is nobody's loss. */
  start(now_s: number): void {
    this.last_s = now_s;
    this.due_s = 0;
    this.spanWall_s = 0;
    this.spanVirtual_s = 0;
  }

  /** Virtual time due at wall time `now_s` [s], at most the cap; the excess goes to `lost_s`. */
  due(now_s: number): number {
    const wall_s = Math.max(0, now_s - this.last_s);
    this.last_s = now_s;
    this.due_s += wall_s * this.pace;
    const cap_s = CATCH_UP_S * this.pace;
    if (this.due_s > cap_s) {
      if (this.books) this.lost_s += this.due_s - cap_s;
      this.due_s = cap_s;
    }
    this.spanWall_s += wall_s;
    if (this.spanWall_s >= RATIO_SPAN_S) {
      this.ratio = this.spanVirtual_s / this.spanWall_s;
      this.spanWall_s = 0;
      this.spanVirtual_s = 0;
    }
    return this.due_s;
  }

  /** Notes that `virtual_s` was computed. */
  done(virtual_s: number): void {
    this.due_s -= virtual_s;
    this.spanVirtual_s += virtual_s;
  }
}
