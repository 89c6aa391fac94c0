/**
 * Thermistor to counts.
 *
 * Model   R = R25 exp(B (1/T' - 1/298.15)), T' = 298.15 + d (1 + d (C + d D)), d = temperature above 25 °C; with C = D = 0 the
 *         plain law of one B. A resistor pulls it up to the reference of the converter, so the reading is a ratio and an
 *         error of the reference drops out.
 * Damage  open it reads full scale, short it reads 0; off its place it feels the air; a slow one follows as first order. What
 *         each feels is kept in the plant vector, with the time at which it was renewed.
 * Source  law of three coefficients and those of a common 10 k part read on ftp.finetune.jp/~lyuka (ntc10k-42s).
 */
import { NTC } from '../plant/damage.ts';
import { slot } from '../plant/slots.ts';
import { exponential } from '../units/elementary.ts';
import type { BoardParams } from './board.ts';

const T25_K = 298.15;
const FELT_BRIDGE = slot('feltBridge');
const FELT_MOTOR = slot('feltMotor');
const FELT_AT = slot('feltAt');
const BRIDGE = slot('ntcBridge');
const MOTOR = slot('ntcMotor');
const BRIDGE_SLOW = slot('ntcBridgeSlow');
const MOTOR_SLOW = slot('ntcMotorSlow');
const SINK = slot('sinkHeat');
const WINDING = slot('windingHeat');
const AIR = slot('ambient');

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

/** The same with its damage, bits of NTC. */
export function wiredCounts(b: BoardParams, heat_K: number, damage: number): number {
  if ((damage & NTC.short) !== 0) return 0;
  if ((damage & NTC.open) !== 0) return 2 ** b.bits - 1;
  return thermistorCounts(b, heat_K);
}

/** Renews what the two thermistors feel. */
export function renewFelt(x: Float64Array, time_s: number): void {
  const since_s = time_s - x[FELT_AT];
  x[FELT_BRIDGE] = felt_K(x[FELT_BRIDGE], x[BRIDGE], x[SINK], x[AIR], x[BRIDGE_SLOW], since_s);
  x[FELT_MOTOR] = felt_K(x[FELT_MOTOR], x[MOTOR], x[WINDING], x[AIR], x[MOTOR_SLOW], since_s);
  x[FELT_AT] = time_s;
}

function felt_K(
  before_K: number,
  damage: number,
  place_K: number,
  air_K: number,
  slow_s: number,
  since_s: number,
): number {
  const goal_K = (damage & NTC.off) !== 0 ? air_K : place_K;
  if (slow_s === 0 || before_K === 0) return goal_K;
  return goal_K + (before_K - goal_K) * exponential(-since_s / slow_s);
}
