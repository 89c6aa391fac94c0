/**
 * Motor D: a drill motor of 18 V on which the figures of these tests were computed; made up, and consistent with itself.
 *
 * Saturation   Ld falls by 30 % at +60 A and rises by 5 % at -60 A, Lq falls by 5 % at 80 A, and at 80 A q the cross term turns the
 *              axis of saliency by some 10 degrees; illustrative.
 */
import { type MotorFacts, motorFacts } from '../../../src/control/motor-facts.ts';
import type { SensorlessSettings } from '../../../src/control/sensorless/settings.ts';
import { settingsFor } from '../../../src/control/sensorless/settings.ts';
import type { WindingParams } from '../../../src/plant/params.ts';
import { MACHINE_S } from '../../support/machine-s.ts';

/** Tick of the controller, and period of the PWM [s]. */
export const TICK_S = 50e-6;
/** Electrical speed at 22 000 rpm [rad/s]. */
export const FULL_RAD_S = 9215;
/** Electrical speed of 1333 Hz, 20 000 rpm: 15 samples a turn [rad/s]. */
export const FAST_RAD_S = (2 * Math.PI * 4 * 20_000) / 60;
export const DEGREE = Math.PI / 180;
/** Noise of alpha and beta from three shunts: 2 counts of 0.08 A, times sqrt(2/3) [A]. */
export const NOISE_A = Math.sqrt(2 / 3) * 2 * 0.08;

/** Without saturation. */
export const PLAIN: MotorFacts = motorFacts({
  polePairs: 4,
  r_ohm: 0.01,
  deadShare: 0.01,
  ld_H: 12e-6,
  lq_H: 15e-6,
  satD2: 0,
  satD3: 0,
  satQ3: 0,
  satCross: 0,
  lambda_Wb: 1.15e-3,
  inertia_kgm2: 3.3e-6,
  most_A: 80,
});

export const SATURATED: MotorFacts = motorFacts({
  ...PLAIN,
  satD2: 1.76e7,
  satD3: 1.3e10,
  satQ3: 8.4e8,
  satCross: 1e6,
});

export const SETTINGS: SensorlessSettings = { ...settingsFor(PLAIN, 18), mtpaShare: 0 };

/** The winding of the engine with these facts. */
export function windingOf(facts: MotorFacts): WindingParams {
  const { polePairs, r_ohm, ld_H, lq_H, lambda_Wb, satD2, satD3, satQ3, satCross } = facts;
  return Object.freeze({
    ...MACHINE_S,
    polePairs,
    r_ohm,
    ld_H,
    lq_H,
    magnet_Wb: lambda_Wb,
    satD2,
    satD3,
    satQ3,
    satCross,
  });
}
