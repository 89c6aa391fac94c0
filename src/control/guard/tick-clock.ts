/**
 * Time from the tick numbers of the frames. More than one tick missed in a row: the legs stay open for the tick that comes
 * after the gap, because the command in force was made for another rotor angle.
 *
 * Source  two missed interrupts open the legs: common practice, from memory.
 */
import { TICK_S } from '../settings.ts';

/** Largest difference of two tick numbers that is driven through: one tick was missed. */
export const GAP_DRIVEN = 2;
/** A gap longer than this is no time base any more. */
const GAP_MOST = 2000;

export class TickClock {
  /** Time since the previous tick [s]. */ elapsed_s = TICK_S;
  /** 1 in the tick after a gap that is too long. */ missed = 0;
  private last = -1;

  reset(): void {
    this.last = -1;
    this.missed = 0;
    this.elapsed_s = TICK_S;
  }

  update(tick: number): void {
    const gap = this.last < 0 ? 1 : (tick - this.last) >>> 0;
    this.last = tick;
    this.missed = gap > GAP_DRIVEN ? 1 : 0;
    this.elapsed_s = Math.max(1, Math.min(gap, GAP_MOST)) * TICK_S;
  }
}
