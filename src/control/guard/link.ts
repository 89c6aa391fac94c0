/**
 * Link voltage: reading, limits per cell of the pack, and readings that cannot be.
 *
 * High    above 5 V a cell for two ticks latches.
 * Low     below 2 V a cell for 2 ms, until above 2.2 V a cell for 2 ms.
 * Railed  0 or full scale for two ticks latches: the logic that reads this lives on the link, so 0 V cannot be, and before full
 *         scale lies the upper limit. From the first such tick on the last possible reading stands in its place.
 * Source  limits are common practice, from memory; the applicable product standard decides in a real tool.
 */
import { BOARD } from '../settings.ts';
import { RAIL_MARGIN_COUNTS, Rails } from './rails.ts';

/** Limits of the link per cell of the pack: too high, too low, and healthy again [V]. */
export const LINK_HIGH_V = 5;
export const LINK_LOW_V = 2;
export const LINK_BACK_V = 2.2;
/** Ticks above the upper limit that latch. */
export const LINK_HIGH_TICKS = 2;
/** Ticks that the link must be low, and healthy again: 2 ms. */
export const LINK_LOW_TICKS = 40;
/** Ticks in a row of a reading that cannot be that latch. */
export const LINK_RAILED_TICKS = 2;

export class LinkGuard {
  /** Link voltage [V]: of this tick, or the last one that can be; 0 before there was one. */ volts_V = 0;
  /** 1 once it was too high; stays. */ high = 0;
  /** 1 while it is too low. */ low = 0;
  /** Readings that cannot be. */ readonly rails: Rails;
  private readonly cells: number;
  private readonly perCount_V: number;
  private highTicks = 0;
  private lowTicks = 0;

  /** @param cells lithium cells in series @param perCount_V scale of the channel */
  constructor(cells: number, perCount_V: number) {
    this.cells = cells;
    this.perCount_V = perCount_V;
    const top = BOARD.range_counts - 1;
    this.rails = new Rails(RAIL_MARGIN_COUNTS, top - RAIL_MARGIN_COUNTS, LINK_RAILED_TICKS);
  }

  reset(): void {
    this.volts_V = 0;
    this.high = 0;
    this.low = 0;
    this.highTicks = 0;
    this.lowTicks = 0;
    this.rails.reset();
  }

  update(counts: number): void {
    this.rails.update(counts);
    if (this.rails.bad === 1) return;
    const v = counts * this.perCount_V;
    this.volts_V = v;
    this.highTicks = v > LINK_HIGH_V * this.cells ? this.highTicks + 1 : 0;
    if (this.highTicks >= LINK_HIGH_TICKS) this.high = 1;
    const leaning = this.low === 1 ? v > LINK_BACK_V * this.cells : v < LINK_LOW_V * this.cells;
    this.lowTicks = leaning ? this.lowTicks + 1 : 0;
    if (this.lowTicks < LINK_LOW_TICKS) return;
    this.low = 1 - this.low;
    this.lowTicks = 0;
  }
}
