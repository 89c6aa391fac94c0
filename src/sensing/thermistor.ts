/**
 * Thermistor to counts.
 *
 * Model   R = R25 exp(B (1/T' - 1/298.15)), T' = 298.15 + d (1 + d (C + d D)), d = temperature above 25 °C; with C = D = 0 the
 *         plain law of one B. A resistor pulls it up to the reference of the converter, so the reading is a ratio and an
 *         error of the reference drops out.
 * Source  law of three coefficients and those of a common 10 k part read on ftp.finetune.jp/~lyuka (ntc10k-42s).
 */
import { exponential } from '../units/elementary.ts';
import type { BoardParams } from './board.ts';

const T25_K = 298.15;

/** Resistance [ohm] at a temperature. */
export function thermistor_ohm(
  b: Pick<BoardParams, 'ntc_ohm' | 'ntcB_K' | 'ntcC_1_K' | 'ntcD_1_K2'>,
  heat_K: number,
): number {
  const d = heat_K - T25_K;
  const t = T25_K + d * (1 + d * (b.ntcC_1_K + d * b.ntcD_1_K2));
  return b.ntc_ohm * exponential(b.ntcB_K * (1 / t - 1 / T25_K));
}

/** Reading before noise and rounding: the share of the divider times the full scale. */
export function thermistorCounts(b: BoardParams, heat_K: number): number {
  const r = thermistor_ohm(b, heat_K);
  return ((2 ** b.bits - 1) * r) / (r + b.ntcPullUp_ohm);
}
