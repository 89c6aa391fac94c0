/** The spin check on the plant: real bridge, dead time and diodes, a rotor that coasts, ideal samples or noisy ones. */

import type { MotorFacts } from '../../../src/control/motor-facts.ts';
import { CHECKING, SpinCheck } from '../../../src/control/sensorless/spin-check.ts';
import { drillWith, linearWinding, livePlant, merge, type Overrides, set } from '../../support/rigs.ts';
import { wrapped } from './flux-rig.ts';
import { gauss } from './gauss.ts';
import { TICK_S } from './motor-d.ts';

export interface SpinAnswer {
  readonly result: number;
  /** Found less true, at the sample of the answer: angle [rad], speed [rad/s]. */ readonly offTheta: number;
  readonly offW: number;
  /** True electrical speed then, and largest current [rad/s, A]. */ readonly w: number;
  readonly peak_A: number;
  readonly ticks: number;
}

export function spin(
  facts: MotorFacts,
  w_rad_s: number,
  theta_rad: number,
  noise_A: number,
  seed: number,
  more: Overrides = {},
): SpinAnswer {
  const { r_ohm, ld_H, lq_H, lambda_Wb, polePairs } = facts;
  const winding = linearWinding({ r_ohm, ld_H, lq_H, magnet_Wb: lambda_Wb, polePairs });
  const plant = livePlant(drillWith(merge(winding, more)), 1e-6, theta_rad);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: w_rad_s / polePairs });
  const check = new SpinCheck(TICK_S, facts);
  check.reset();
  const draw = gauss(seed);
  let [result, ticks, peak_A] = [CHECKING, 0, 0];
  while (result === CHECKING && ticks < 1000) {
    const [a, b] = [plant.read('iAlpha'), plant.read('iBeta')];
    peak_A = Math.max(peak_A, Math.hypot(a, b));
    // Without a gate on, no current flows through a shunt: the counts say nothing then, and are not asked.
    result = check.step(a + noise_A * draw(), b + noise_A * draw());
    if (result !== CHECKING) break;
    plant.command(check.on ? 7 : 0, 0, 0, 0);
    plant.runPeriod();
    ticks++;
  }
  const w = polePairs * plant.read('rotorSpeed');
  const theta = Math.atan2(plant.read('sin'), plant.read('cos'));
  return { result, offTheta: wrapped(check.theta - theta), offW: check.w - w, w, peak_A, ticks };
}
