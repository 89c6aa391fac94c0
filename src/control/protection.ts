/**
 * Decides whether the legs may be driven.
 *
 * Latched until the next boot: over-current, link too high, Hall codes that keep failing, an impossible offset.
 * While it lasts: link too low, Hall code invalid. A low link counts only while the trigger asks for torque, because the
 * link always runs down after the contact has opened.
 * Source  limits are common practice, from memory; the applicable product standard decides in a real tool.
 */
import { TRIP_CURRENT, TRIP_HALL, TRIP_LINK_HIGH, TRIP_LINK_LOW, TRIP_NONE } from '../protocol/frames.ts';
import type { HallGuard } from './hall-guard.ts';

/** Limits of the link per cell of the pack: too high, too low, and healthy again [V]. */
const HIGH_V = 5;
const LOW_V = 2;
const BACK_V = 2.2;
const LINK_HIGH_TICKS = 2;
/** Ticks that the link must be low, and healthy again: 2 ms. */
const LINK_LOW_TICKS = 40;

export class Protection {
  /** Latched trip reason, TRIP_NONE while there is none. */ tripped = TRIP_NONE;
  /** Reason that keeps the legs open for now, TRIP_NONE while there is none. */ waiting = TRIP_NONE;
  private readonly cells: number;
  private highTicks = 0;
  private lowTicks = 0;
  private low = 0;

  /** @param cells lithium cells in series, as on the label of the pack */
  constructor(cells: number) {
    this.cells = cells;
  }

  reset(): void {
    this.tripped = TRIP_NONE;
    this.waiting = TRIP_NONE;
    this.highTicks = 0;
    this.lowTicks = 0;
    this.low = 0;
  }

  /** Latches a reason; the first one stays. */
  trip(reason: number): void {
    if (this.tripped === TRIP_NONE) this.tripped = reason;
  }

  /**
   * Judges one tick.
   *
   * @param largest_A largest sampled phase current @param limit_A where it trips
   * @param asked     1 while the trigger asks for torque
   */
  update(largest_A: number, limit_A: number, link_V: number, hall: HallGuard, asked: number): void {
    if (largest_A > limit_A) this.trip(TRIP_CURRENT);
    this.highTicks = link_V > HIGH_V * this.cells ? this.highTicks + 1 : 0;
    if (this.highTicks >= LINK_HIGH_TICKS) this.trip(TRIP_LINK_HIGH);
    if (hall.latch === 1) this.trip(TRIP_HALL);

    const leaning = this.low === 1 ? link_V > BACK_V * this.cells : link_V < LOW_V * this.cells;
    this.lowTicks = leaning ? this.lowTicks + 1 : 0;
    if (this.lowTicks >= LINK_LOW_TICKS) {
      this.low = 1 - this.low;
      this.lowTicks = 0;
    }
    if (hall.off === 1) this.waiting = TRIP_HALL;
    else if (this.low === 1 && asked === 1) this.waiting = TRIP_LINK_LOW;
    else this.waiting = TRIP_NONE;
  }
}
