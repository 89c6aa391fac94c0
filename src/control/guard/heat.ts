/**
 * Over-temperature from one thermistor: less current when warm, a trip when hot.
 *
 * Model   means of 5 ms, so that the first one is there before the offsets are; share of the current limit
 *         sqrt((T_stop - T) / (T_stop - T_derate)) between 0 and 1: copper loss falls in a straight line to nothing at T_stop.
 * Faults  open, shorted, or absent after it was there: latched within FAULT_TICKS. It is a trip and not a derating, because
 *         an open thermistor reads as cold, so nothing would be left to tell a hot tool by. A channel that is absent from the
 *         boot on is not fitted: the limit is UNSEEN_SHARE then, half the copper loss.
 * Limits  a thermistor that sticks at a possible reading is not found. Its place follows the copper slowly; a stall is
 *         limited by its time (stall.ts), not by this.
 * Source  common practice, from memory; the applicable product standard decides in a real tool.
 */
import { NOT_FITTED } from '../../protocol/frames.ts';
import { OPEN_COUNTS, SHORTED_COUNTS, type ThermistorTable } from './thermistor-table.ts';

/** Ticks of a mean: 5 ms. */
export const MEAN_TICKS = 100;
/** Means in a row that latch a fault, and a trip. */
const FAULT_MEANS = 4;
const HOT_MEANS = 2;
/** Ticks within which a thermistor that fails is found, and within which heat trips. */
export const FAULT_TICKS = (FAULT_MEANS + 1) * MEAN_TICKS;
export const HOT_TICKS = (HOT_MEANS + 1) * MEAN_TICKS;
/** Share of the current limit where no thermistor is fitted. */
export const UNSEEN_SHARE = 0.7;

export class Heat {
  /** Temperature [K]; 0 while unknown. */ heat_K = 0;
  /** Share of the current limit that is left, 0 to 1. */ share = 1;
  /** 1 once too hot; stays. */ hot = 0;
  /** 1 once the thermistor has failed; stays. */ fault = 0;
  private readonly table: ThermistorTable;
  private readonly derate_K: number;
  private readonly stop_K: number;
  private ticks = 0;
  private sum = 0;
  private absent = 0;
  /** 1 fitted, 0 not, -1 not known yet. */ private fitted = -1;
  private faulty = 0;
  private over = 0;

  /** @param derate_K where the current begins to fall @param stop_K where it trips */
  constructor(table: ThermistorTable, derate_K: number, stop_K: number) {
    this.table = table;
    this.derate_K = derate_K;
    this.stop_K = stop_K;
  }

  reset(): void {
    this.heat_K = 0;
    this.share = 1;
    this.hot = 0;
    this.fault = 0;
    this.ticks = 0;
    this.sum = 0;
    this.absent = 0;
    this.fitted = -1;
    this.faulty = 0;
    this.over = 0;
  }

  /** Takes the counts of one tick. */
  update(counts: number): void {
    if (counts === NOT_FITTED) this.absent += 1;
    else this.sum += counts;
    this.ticks += 1;
    if (this.ticks < MEAN_TICKS) return;
    this.judge();
    this.ticks = 0;
    this.sum = 0;
    this.absent = 0;
  }

  private judge(): void {
    if (this.fitted < 0) this.fitted = this.absent === MEAN_TICKS ? 0 : 1;
    if (this.fitted === 0) {
      this.share = UNSEEN_SHARE;
      return;
    }
    const counts = this.sum / MEAN_TICKS;
    if (this.absent > 0 || counts < SHORTED_COUNTS || counts > OPEN_COUNTS) {
      this.faulty += 1;
      if (this.faulty >= FAULT_MEANS) this.fault = 1;
      return;
    }
    this.faulty = 0;
    const heat = this.table.heat_K(counts);
    this.heat_K = heat;
    const left = (this.stop_K - heat) / (this.stop_K - this.derate_K);
    this.share = Math.sqrt(Math.max(0, Math.min(1, left)));
    this.over = heat >= this.stop_K ? this.over + 1 : 0;
    if (this.over >= HOT_MEANS) this.hot = 1;
  }
}
