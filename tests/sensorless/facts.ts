/**
 * The one place from which the experiments take what the controller knows of its motor: a commissioning run on the bench drill,
 * by frames alone. It is played on the drill as it is built, at 20 °C, never on one that an experiment has changed.
 */
import type { MotorFacts } from '../../src/control/motor-facts.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { commissioned } from '../../src/runner/commission.ts';

export function factsOf(): MotorFacts {
  return commissioned(BENCH_18).facts;
}

/** Reduction and efficiency of the high gear: (1 + 36/12) (1 + 60/24), two stages of 0.96. */
const HIGH_RATIO = 14;
const HIGH_EFFICIENCY = 0.96 * 0.96;

/** Torque at the chuck in the high gear at the current limit, without friction of the rotor [N·m]: what the loads are scaled by. */
export function rated_Nm(): number {
  const { polePairs, lambda_Wb, most_A } = factsOf();
  return 1.5 * polePairs * lambda_Wb * most_A * HIGH_RATIO * HIGH_EFFICIENCY;
}
