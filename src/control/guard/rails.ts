/**
 * A converter channel that reads what its sensor cannot give: an end of the range, a torn wire, a channel that is absent.
 *
 * Model   bad in the tick in which the count lies outside its limits; latched when that lasts. 0xFFFF, "not fitted", lies outside
 *         all limits. An amplifier stops some millivolts before its rail, hence the margin.
 * Source  common practice, no source.
 */

/** Counts at either end of a converter that no healthy amplifier reaches: 6 mV of 3.3 V at 12 bits. */
export const RAIL_MARGIN_COUNTS = 8;

export class Rails {
  /** 1 while the count is not to be used. */ bad = 0;
  /** 1 once it was bad for as long as stated; stays. */ latch = 0;
  private readonly lowest: number;
  private readonly highest: number;
  private readonly latchTicks: number;
  private ticks = 0;

  /** @param lowest least believed count @param highest largest @param latchTicks ticks in a row that latch */
  constructor(lowest: number, highest: number, latchTicks: number) {
    this.lowest = lowest;
    this.highest = highest;
    this.latchTicks = latchTicks;
  }

  reset(): void {
    this.bad = 0;
    this.latch = 0;
    this.ticks = 0;
  }

  update(counts: number): void {
    if (counts >= this.lowest && counts <= this.highest) {
      this.bad = 0;
      this.ticks = 0;
      return;
    }
    this.bad = 1;
    this.ticks += 1;
    if (this.ticks >= this.latchTicks) this.latch = 1;
  }
}
