/**
 * Proportional-integral loop with limits.
 *
 * Anti-wind-up: the integral moves only while the output is inside its limits or the error leads back inside, and is
 * kept within the width of the limits.
 * Source  common practice (conditional integration), from memory.
 */

/** What may not happen to the integral in a tick: nothing, rising, moving at all. */
export const BLOCK_NONE = 0;
export const BLOCK_RISE = 1;
export const BLOCK_ALL = 2;

export class PiLoop {
  private integral = 0;
  private readonly kp: number;
  private readonly kiPerTick: number;

  /** @param kp output per error; @param ki output per error and second; @param tick_s time between calls [s] */
  constructor(kp: number, ki: number, tick_s: number) {
    this.kp = kp;
    this.kiPerTick = ki * tick_s;
  }

  /** Forgets the integral. */
  reset(): void {
    this.integral = 0;
  }

  /**
   * One tick; returns the limited output.
   *
   * @param error   reference minus measurement
   * @param ahead   feed-forward, added to the output
   * @param lo      lower limit of the output; @param hi upper limit, not below lo
   * @param blocked BLOCK_RISE when what follows the output cannot rise further, BLOCK_ALL when the measurement says
   *                nothing about the output: then the integral must not rise, or not move
   */
  step(error: number, ahead: number, lo: number, hi: number, blocked: number): number {
    const free = ahead + this.kp * error + this.integral;
    const stuckHigh = (free >= hi || blocked === BLOCK_RISE) && error > 0;
    const stuckLow = free <= lo && error < 0;
    if (!stuckHigh && !stuckLow && blocked !== BLOCK_ALL) this.integral += this.kiPerTick * error;
    const span = hi - lo;
    this.integral = Math.max(-span, Math.min(span, this.integral));
    return Math.max(lo, Math.min(hi, free));
  }
}
