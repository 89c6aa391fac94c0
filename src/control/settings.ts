/** What the firmware believes about its board and motor, and what it is tuned to. It learns neither from the plant. */

import { PROTOCOL_VERSION } from '../protocol/frames.ts';
import { requirePositive, requireRange } from '../units/checks.ts';
import type { MotorFacts } from './motor-facts.ts';

/** The board that the firmware was built for: converters, dividers, timing. Sent in its Hello. */
export const BOARD = Object.freeze({
  pwm_Hz: 20_000,
  /** 12 bit, 3.3 V, 0.5 mohm shunt, gain 20. */ currentPerCount_A: 3.3 / 4096 / (0.0005 * 20),
  currentZero_counts: 2048,
  bits: 12,
  range_counts: 4096,
  triggerLow_counts: 410,
  triggerHigh_counts: 3686,
});

/** The thermistors of the board and the resistor that pulls each up: a common 10 k part, ftp.finetune.jp/~lyuka (ntc10k-42s). */
export const THERMISTOR = Object.freeze({
  r25_ohm: 10_000,
  b_K: 3332.31,
  c_1_K: 5.55745e-4,
  d_1_K2: 4.74033e-7,
  pullUp_ohm: 10_000,
});

/** Where the current begins to fall and where it trips: switches 85 and 105, winding 120 and 155 °C; from memory [K]. */
export const HEAT_LIMITS = Object.freeze({
  bridgeDerate_K: 358.15,
  bridgeStop_K: 378.15,
  motorDerate_K: 393.15,
  motorStop_K: 428.15,
});

/** What differs between builds of the firmware: the pack on the label, and the link divider of the board for it. */
export interface Build {
  /** Lithium cells in series. */ readonly cells: number;
  /** Legs whose shunt is fitted; all when left out. */ readonly shunts?: 'abc' | 'ab' | 'bc' | 'ac';
  readonly linkPerCount_V: number;
}

/** What a build may have measured besides: a controller without rotor sensor needs it. */
export interface MeasuredBuild extends Build {
  readonly facts?: MotorFacts;
}

/** 18 V class; 12 bit, 3.3 V, divider 1:11. */
export const USUAL_BUILD: Build = Object.freeze({ cells: 5, linkPerCount_V: (3.3 / 4096) * 11 });

/** What every firmware on this board states of it in its Hello. */
export function boardFacts(build: Build) {
  return {
    version: PROTOCOL_VERSION,
    uid: 'in this process',
    pwm_Hz: BOARD.pwm_Hz,
    updates: 1,
    bits: BOARD.bits,
    shunts: build.shunts ?? 'abc',
    currentPerCount_A: BOARD.currentPerCount_A,
    currentZero_counts: BOARD.currentZero_counts,
    linkPerCount_V: build.linkPerCount_V,
    triggerLow_counts: BOARD.triggerLow_counts,
    triggerHigh_counts: BOARD.triggerHigh_counts,
    ntc_ohm: THERMISTOR.r25_ohm,
    ntcB_K: THERMISTOR.b_K,
    ntcPullUp_ohm: THERMISTOR.pullUp_ohm,
    virtualTick: true,
  } as const;
}

/** Checks a build. Throws RangeError naming the item, its value and what is allowed. */
export function checkedBuild(build: Build): Build {
  requireRange('build.cells', build.cells, 1, 14, '');
  requirePositive('build.linkPerCount_V', build.linkPerCount_V, 'V');
  return Object.freeze({ ...build });
}

/** Period of the PWM and of the tick [s]. */
export const TICK_S = 1 / BOARD.pwm_Hz;

/** The motor as its maker would state it, line to line; only the current loop uses it. */
export const MOTOR = Object.freeze({
  polePairs: 4,
  /** Two phases in series, with switches. */ r_ohm: 0.02,
  /** Two phases in series, mean of both axes. */ l_H: 27e-6,
  /** Mean EMF of the two conducting phases per electrical speed, 1.654 * 1.15 mWb. */ emf_Vs: 1.9e-3,
});

export interface SixStepSettings {
  /** Largest current that the speed loop asks for [A]. */ readonly currentLimit_A: number;
  /** Sampled current that trips [A]. */ readonly overCurrent_A: number;
  /** Current held after a stall [A]. */ readonly holdCurrent_A: number;
  /** Time at the limit without turning that counts as a stall [s]. */ readonly stallTime_s: number;
  /** Motor speed at full trigger [rad/s]. */ readonly topSpeed_rad_s: number;
  /** Commutation advance at full speed [deg electrical], none below 30 % of it. */ readonly advance_deg: number;
}

/** Illustrative settings for the motor above in an 18 V tool. */
export const SIX_STEP: SixStepSettings = Object.freeze({
  currentLimit_A: 60,
  overCurrent_A: 120,
  holdCurrent_A: 20,
  stallTime_s: 0.5,
  topSpeed_rad_s: 2200,
  advance_deg: 15,
});

/** Completes and checks settings. Throws RangeError naming the item, its value and what is allowed. */
export function sixStepSettings(given: Partial<SixStepSettings> = {}): SixStepSettings {
  const s = { ...SIX_STEP, ...given };
  requirePositive('sixStep.currentLimit_A', s.currentLimit_A, 'A');
  // Above 160 A the converters of the board rail.
  requireRange('sixStep.overCurrent_A', s.overCurrent_A, s.currentLimit_A, 160, 'A');
  requireRange('sixStep.holdCurrent_A', s.holdCurrent_A, 0, s.currentLimit_A, 'A');
  requirePositive('sixStep.stallTime_s', s.stallTime_s, 's');
  requireRange('sixStep.topSpeed_rad_s', s.topSpeed_rad_s, 1, 3000, 'rad/s');
  requireRange('sixStep.advance_deg', s.advance_deg, 0, 30, 'deg');
  return Object.freeze(s);
}
