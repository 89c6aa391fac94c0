/**
 * The one place from which the experiments take what the controller knows of its motor.
 *
 * Stands in for the commissioning run: the numbers are those of the preset, with the resistance of switch and shunt added to that
 * of a phase as a measurement at the terminals would see them (three shunts of which one and a half carry current on average are
 * a quarter of a milliohm). They are taken from the drill as it is built, never from one that an experiment has changed.
 */
import { type MotorFacts, motorFacts } from '../../src/control/motor-facts.ts';
import type { DrillParams } from '../../src/plant/params.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';

/** Phase current that board and motor may carry, peak [A]: the label, no measurement. */
export const MOST_A = 80;

export function factsOf(drill: DrillParams = BENCH_18): MotorFacts {
  const { winding, bridge, shaft } = drill;
  return motorFacts({
    polePairs: winding.polePairs,
    r_ohm: winding.r_ohm + bridge.rds_ohm + 0.5 * bridge.shunt_ohm,
    deadShare: bridge.deadTime_s * bridge.pwm_Hz,
    ld_H: winding.ld_H,
    lq_H: winding.lq_H,
    satD2: winding.satD2,
    satD3: winding.satD3,
    satQ3: winding.satQ3,
    satCross: winding.satCross,
    lambda_Wb: winding.magnet_Wb,
    inertia_kgm2: shaft.rotor_kgm2,
    most_A: MOST_A,
  });
}
