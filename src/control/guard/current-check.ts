/**
 * Are the counts of the current channels possible?
 *
 * Railed  a count at an end of the range, or 0xFFFF on a shunt that is fitted: not used in that tick, latched after RAILED_TICKS.
 * Sum     the three phase currents add to zero; more than 10 % of the range for SUM_TICKS is a channel that lies.
 * Stuck   a channel that repeats its count exactly for STUCK_TICKS while the sum is off by STUCK_MOVE_COUNTS for STUCK_HITS. With
 *         two shunts the other channel has to have moved by as much meanwhile; noise of half a count or ripple then keeps a
 *         healthy channel from repeating itself.
 * Limits  sum and stuck are judged only in ticks whose samples show the currents (`seen`): a leg that freewheels through its
 *         high diode, or has no low-side time, reads nothing. A channel that is stuck near what it should read does no harm.
 * Source  common practice, from memory.
 */
import type { Sense } from '../../protocol/frames.ts';
import { BOARD } from '../settings.ts';
import { RAIL_MARGIN_COUNTS, Rails } from './rails.ts';

/** Ticks in a row of a railed or absent channel that latch; its count is not used from the first one on. */
export const RAILED_TICKS = 3;
/** Judged ticks in a row with a wrong sum that latch. */
export const SUM_TICKS = 3;
/** Largest sum of the three currents that is believed [counts]. */
export const SUM_MOST_COUNTS = 0.1 * BOARD.range_counts;
/** Ticks for which a channel has to repeat itself: 2 ms. */
export const STUCK_TICKS = 40;
/** And by how much the sum has to be off, or the only other channel to have moved: 5 A [counts]. */
export const STUCK_MOVE_COUNTS = 64;
/** Judged ticks in a row with both that latch. */
export const STUCK_HITS = 3;

export class CurrentCheck {
  /** 1 while a count of this tick is not to be used. */ bad = 0;
  /** 1 once a channel is known to lie; stays. */ latch = 0;
  private readonly fitted: Uint8Array;
  private readonly shunts: number;
  private readonly rails: readonly Rails[];
  private readonly counts = new Float64Array(3);
  private readonly last = new Float64Array(3);
  private readonly same = new Float64Array(3);
  /** Two shunts: what the other channel read when this one last changed, and whether that is known. */
  private readonly from = new Float64Array(3);
  private readonly known = new Uint8Array(3);
  private readonly away = new Uint8Array(3);
  private sums = 0;

  /** @param shunts legs that have a shunt, as Hello says it */
  constructor(shunts: string) {
    this.fitted = Uint8Array.from(['a', 'b', 'c'], (leg) => (shunts.includes(leg) ? 1 : 0));
    this.shunts = shunts.length;
    const top = BOARD.range_counts - 1;
    const make = () => new Rails(RAIL_MARGIN_COUNTS, top - RAIL_MARGIN_COUNTS, RAILED_TICKS);
    this.rails = Object.freeze([make(), make(), make()]);
  }

  reset(): void {
    this.bad = 0;
    this.latch = 0;
    this.sums = 0;
    for (const rail of this.rails) rail.reset();
    this.last.fill(-1);
    this.same.fill(0);
    this.known.fill(0);
    this.away.fill(0);
  }

  /** First look at a frame: may its counts be used at all? */
  look(sense: Sense): void {
    this.counts[0] = sense.ia;
    this.counts[1] = sense.ib;
    this.counts[2] = sense.ic;
    this.bad = 0;
    for (let k = 0; k < 3; k++) {
      if (this.fitted[k] === 0) continue;
      const rail = this.rails[k];
      rail.update(this.counts[k]);
      if (rail.bad === 1) this.bad = 1;
      if (rail.latch === 1) this.latch = 1;
    }
  }

  /**
   * Second look, once the offsets are known.
   *
   * @param zero offsets of the channels [counts] @param seen 1 when every fitted shunt shows the current of its leg
   */
  compare(zero: Float64Array, seen: number): void {
    if (this.bad === 1) return;
    const { counts } = this;
    const sum = counts[0] + counts[1] + counts[2] - zero[0] - zero[1] - zero[2];
    if (seen === 1 && this.shunts === 3) {
      this.sums = Math.abs(sum) > SUM_MOST_COUNTS ? this.sums + 1 : 0;
      if (this.sums >= SUM_TICKS) this.latch = 1;
    }
    for (let k = 0; k < 3; k++) if (this.fitted[k] === 1) this.repeat(k, sum, seen);
  }

  private repeat(k: number, sum: number, seen: number): void {
    const { counts, last, same, known, away } = this;
    if (counts[k] !== last[k]) {
      last[k] = counts[k];
      same[k] = 0;
      known[k] = 0;
      away[k] = 0;
    } else {
      same[k] += 1;
    }
    if (seen === 0) return;
    const off = this.shunts === 3 ? sum : this.moved(k);
    away[k] = same[k] >= STUCK_TICKS && Math.abs(off) > STUCK_MOVE_COUNTS ? away[k] + 1 : 0;
    if (away[k] >= STUCK_HITS) this.latch = 1;
  }

  /** By how much the other of two channels has moved since channel k last changed [counts]. */
  private moved(k: number): number {
    const { counts, fitted, known, from } = this;
    const next = (k + 1) % 3;
    const other = counts[fitted[next] === 1 ? next : (k + 2) % 3];
    if (known[k] === 0) from[k] = other;
    known[k] = 1;
    return other - from[k];
  }
}
