/**
 * Over-current by samples: one sample above the limit opens the legs in that tick, three within 10 ms latch.
 *
 * Limits  a sample comes once a period and its answer acts a period later, so this is no protection against a short of the
 *         bridge; a real board has a comparator for that.
 * Source  common practice, from memory; the applicable product standard decides in a real tool.
 */

/** Samples above the limit that latch ... */
export const OVER_HITS = 3;
/** ... when they lie within this time [s]. */
export const OVER_WITHIN_S = 0.01;

export class OverCurrent {
  /** 1 in a tick whose sample is above the limit. */ hit = 0;
  /** 1 once the hits came too often; stays. */ latch = 0;
  /** Time since the last hit and since the one before it [s]. */
  private last_s = OVER_WITHIN_S;
  private before_s = OVER_WITHIN_S;

  reset(): void {
    this.hit = 0;
    this.latch = 0;
    this.last_s = OVER_WITHIN_S;
    this.before_s = OVER_WITHIN_S;
  }

  /** Takes one tick, `elapsed_s` after the previous one. @param over 1 when its sample is above the limit */
  update(over: number, elapsed_s: number): void {
    this.last_s = Math.min(this.last_s + elapsed_s, OVER_WITHIN_S);
    this.before_s = Math.min(this.before_s + elapsed_s, OVER_WITHIN_S);
    this.hit = over;
    if (over === 0) return;
    if (this.before_s < OVER_WITHIN_S) this.latch = 1;
    this.before_s = this.last_s;
    this.last_s = 0;
  }
}
