/**
 * Steps on a winding that stands still, where the answer is a closed form.
 *
 * Source  i(t) = V/R (1 - exp(-t R/L)); star: phase a against b and c in parallel carries 2/3 of the link on 1 phase.
 *         The value 14.540865 A and the star point at 6 V were also found by ngspice 39 (14.54086 A).
 */
import { describe, it } from 'vitest';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, Machine, merge, TINY } from '../support/rigs.ts';

/** Global error of the trapezoidal rule on a decay, at its largest (t = L/R), with half of it for the next term. */
const trapezoid_A = (final_A: number, h_s: number, tau_s: number) =>
  (1.5 * final_A * (h_s / tau_s) ** 2) / (12 * Math.E);

describe('locked rotor', () => {
  it.each([
    ['d', 1, 0, 12.642411, MACHINE_S.ld_H],
    ['q', 0, 1, 9.731658, MACHINE_S.lq_H],
  ] as const)('answers 1 V on the %s axis for 800 us as an R-L branch', (axis, vd_V, vq_V, expected, l_H) => {
    const m = new Machine(MACHINE_S, { rotor_kgm2: 1e9 });
    for (let k = 0; k < 800; k++) m.step(vd_V, vq_V, 1e-6);
    const abs = trapezoid_A(20, 1e-6, l_H / MACHINE_S.r_ohm) + 5e-7;
    expectNear(axis === 'd' ? m.id_A : m.iq_A, expected, {
      abs,
      because: 'trapezoidal rule, and six printed decimals',
    });
  });

  it('puts 14.540865 A into a star of 50 mohm and 40 uH after 50 us of 18 V', () => {
    const winding = { r_ohm: 0.05, ld_H: 40e-6, lq_H: 40e-6, magnet_Wb: TINY };
    const plant = livePlant(drillWith(merge(idealSupply(18), LOCKED, linearWinding(winding))), 1e-6);
    plant.command(7, 1, 0, 0);
    plant.runPeriod();
    plant.runPeriod();
    const abs = trapezoid_A(12 / 0.05, 1e-6, 8e-4) + 1e-6;
    expectNear(plant.read('iAlpha'), 14.540865, { abs, because: 'trapezoidal rule, and six printed decimals' });
    const star = (plant.read('meanA') + plant.read('meanB') + plant.read('meanC')) / 3;
    expectNear(star, 6, { abs: 1e-9, because: 'exact algebra: a third of the link' });
  });
});
