/**
 * What the pins of a board read when nothing happens, and what one value on one of them reads: from SI to counts and back,
 * by the scales that the board itself states in its Hello.
 *
 * Halls       sensor x reads 1 while cos(angle - x * 120 deg) > 0, so the code changes at 30 + 60 k degrees electrical.
 * Thermistor  R = R25 exp(B (1/T - 1/298.15 K)); count / 2^bits = R / (R + pull-up), as Hello and Sense declare it.
 */
import { blankSense } from '../protocol/codec.ts';
import {
  HALL_AGE_COUNT_S,
  HALL_AGE_MOST,
  NOT_FITTED,
  SENSE_HALL_A,
  SENSE_HALL_SHIFT,
  type Sense,
} from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';

const T25_K = 298.15;
/** Link voltage of quiet frames, when nothing else is asked for and the board reads that far [V]. */
const USUAL_LINK_V = 18;
/** Least voltage that must be left above it [V]. */
const HEADROOM_V = 4;

export const topCount = ({ bits }: Hello): number => 2 ** bits - 1;

/** Nearest count of the converter; what lies beyond an end reads that end. */
export function toCount(hello: Hello, value: number): number {
  return Math.max(0, Math.min(topCount(hello), Math.round(value)));
}

export const currentCounts = (h: Hello, current_A: number): number =>
  toCount(h, h.currentZero_counts + current_A / h.currentPerCount_A);
export const currentOf_A = (h: Hello, count: number): number => (count - h.currentZero_counts) * h.currentPerCount_A;

export const linkCounts = (h: Hello, link_V: number): number => toCount(h, link_V / h.linkPerCount_V);
export const linkOf_V = (h: Hello, count: number): number => count * h.linkPerCount_V;

export const triggerCounts = (h: Hello, travel: number): number =>
  toCount(h, h.triggerLow_counts + travel * (h.triggerHigh_counts - h.triggerLow_counts));
export const travelOf = (h: Hello, count: number): number =>
  (count - h.triggerLow_counts) / (h.triggerHigh_counts - h.triggerLow_counts);

/** Reading of a thermistor; "not fitted" when the board states none. */
export function heatCounts(h: Hello, heat_K: number): number {
  if (h.ntc_ohm === undefined || h.ntcB_K === undefined || h.ntcPullUp_ohm === undefined) return NOT_FITTED;
  const r_ohm = h.ntc_ohm * Math.exp(h.ntcB_K * (1 / heat_K - 1 / T25_K));
  return toCount(h, (2 ** h.bits * r_ohm) / (r_ohm + h.ntcPullUp_ohm));
}

/** Temperature of a reading; NaN when the board states no thermistor or the reading is at an end. */
export function heatOf_K(h: Hello, count: number): number {
  if (h.ntc_ohm === undefined || h.ntcB_K === undefined || h.ntcPullUp_ohm === undefined) return Number.NaN;
  const share = count / 2 ** h.bits;
  const r_ohm = (h.ntcPullUp_ohm * share) / (1 - share);
  return 1 / (1 / T25_K + Math.log(r_ohm / h.ntc_ohm) / h.ntcB_K);
}

/** Hall code A + 2 B + 4 C at an electrical angle [rad]. */
export function hallCode(angle_rad: number): number {
  let code = 0;
  for (let k = 0; k < 3; k++) if (Math.cos(angle_rad - (k * 2 * Math.PI) / 3) > 0) code |= 1 << k;
  return code;
}

export const hallFlags = (code: number): number => code << SENSE_HALL_SHIFT;

/** Count of the time since the last Hall edge. */
export const hallAgeCounts = (age_s: number): number => Math.min(HALL_AGE_MOST, Math.round(age_s / HALL_AGE_COUNT_S));

/** Link voltage of quiet frames for a board that is not told one [V]: 18 V, or half of what it can read. */
export function restLink_V(h: Hello): number {
  const most_V = linkOf_V(h, topCount(h));
  return most_V >= USUAL_LINK_V + HEADROOM_V ? USUAL_LINK_V : most_V / 2;
}

/** Legs that have a shunt, by the fields of Sense. */
export const hasShunt = (h: Hello, leg: 'a' | 'b' | 'c'): boolean => h.shunts.includes(leg);

/**
 * Pins at rest: no current, the link at `link_V`, trigger released, direction locked, rotor still at angle 0, everything
 * at 25 degrees Celsius, housing still. What the board does not have reads "not fitted".
 */
export function quietSense(h: Hello, link_V: number): Sense {
  const shunt = (leg: 'a' | 'b' | 'c') => (hasShunt(h, leg) ? currentCounts(h, 0) : NOT_FITTED);
  const phase = h.phasePerCount_V === undefined ? NOT_FITTED : 0;
  const heat = heatCounts(h, T25_K);
  return {
    ...blankSense(),
    flags: h.halls ? SENSE_HALL_A : 0,
    ia: shunt('a'),
    ib: shunt('b'),
    ic: shunt('c'),
    link: linkCounts(h, link_V),
    trigger: triggerCounts(h, 0),
    hallAge: HALL_AGE_MOST,
    heatBridge: heat,
    heatMotor: heat,
    phaseA: phase,
    phaseB: phase,
    phaseC: phase,
    gyro: h.gyroPerCount_rad_s === undefined ? NOT_FITTED : toCount(h, h.currentZero_counts),
    accel: h.accelPerCount_m_s2 === undefined ? NOT_FITTED : toCount(h, h.currentZero_counts),
  };
}
