/**
 * Watches for the Hall codes 000 and 111, which no rotor angle gives: a broken wire, a lost sensor supply.
 * Two ticks are tolerated, because three sensors never switch at the same instant; a third event in 100 ms latches.
 *
 * Source  common practice, from memory; no publication.
 */

/** Ticks for which an invalid code is taken for an edge race. */
const TOLERATED_TICKS = 2;
/** Three events within this time latch [s]. */
const EVENTS_WITHIN_S = 0.1;

export class HallGuard {
  /** 1 while the code has been invalid for longer than tolerated: nothing may be driven. */ off = 0;
  /** 1 when the events came too often; stays. */ latch = 0;
  private ticks = 0;
  /** Time since the last event and since the one before it [s]. */
  private last_s = EVENTS_WITHIN_S;
  private before_s = EVENTS_WITHIN_S;

  reset(): void {
    this.off = 0;
    this.latch = 0;
    this.ticks = 0;
    this.last_s = EVENTS_WITHIN_S;
    this.before_s = EVENTS_WITHIN_S;
  }

  /** Takes the code of one tick, `elapsed_s` after the previous one. */
  update(code: number, elapsed_s: number): void {
    this.last_s = Math.min(this.last_s + elapsed_s, EVENTS_WITHIN_S);
    this.before_s = Math.min(this.before_s + elapsed_s, EVENTS_WITHIN_S);
    if (code !== 0 && code !== 7) {
      this.ticks = 0;
      this.off = 0;
      return;
    }
    this.ticks += 1;
    if (this.ticks !== TOLERATED_TICKS + 1) return;
    this.off = 1;
    if (this.before_s < EVENTS_WITHIN_S) this.latch = 1;
    this.before_s = this.last_s;
    this.last_s = 0;
  }
}
