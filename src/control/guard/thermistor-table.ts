/**
 * Counts of a thermistor channel to temperature, by a table as firmware keeps it.
 *
 * Model   R = R25 exp(B (1/T' - 1/298.15)), T' = 298.15 + d (1 + d (C + d D)), d = temperature above 25 °C, pulled up to the
 *         reference of the converter; points every 4 K, straight lines between them, which is 0.05 K off at most.
 * Source  law of three coefficients and those of a common 10 k part read on ftp.finetune.jp/~lyuka (ntc10k-42s); the same
 *         part is on the board for which the firmware is built.
 */
import { exponential } from '../../units/elementary.ts';
import { BOARD, THERMISTOR } from '../settings.ts';

const T25_K = 298.15;
/** First point and distance of the points [K]. */
const FIRST_K = 213.15;
const STEP_K = 4;
const POINTS = 71;

/** Counts below which the channel is shorted, and above which it is open: beyond 250 °C and below -60 °C. */
export const SHORTED_COUNTS = 24;
export const OPEN_COUNTS = 4060;

export class ThermistorTable {
  /** Counts at the points; they fall as it gets warmer. */ private readonly counts: Float64Array;

  constructor() {
    this.counts = Float64Array.from({ length: POINTS }, (_, k) => countsAt(FIRST_K + STEP_K * k));
  }

  /** Temperature [K]; outside the table its end. */
  heat_K(counts: number): number {
    const c = this.counts;
    let low = 0;
    let high = POINTS - 1;
    if (counts >= c[low]) return FIRST_K;
    if (counts <= c[high]) return FIRST_K + STEP_K * high;
    while (high - low > 1) {
      const mid = (low + high) >> 1;
      if (c[mid] > counts) low = mid;
      else high = mid;
    }
    return FIRST_K + STEP_K * (low + (c[low] - counts) / (c[low] - c[high]));
  }
}

function countsAt(heat_K: number): number {
  const t = THERMISTOR;
  const d = heat_K - T25_K;
  const law_K = T25_K + d * (1 + d * (t.c_1_K + d * t.d_1_K2));
  const r = t.r25_ohm * exponential(t.b_K * (1 / law_K - 1 / T25_K));
  return ((BOARD.range_counts - 1) * r) / (r + t.pullUp_ohm);
}
