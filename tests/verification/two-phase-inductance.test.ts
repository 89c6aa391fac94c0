/**
 * A voltage between two terminals of machine S while the third one carries nothing, the rotor held.
 *
 * Source  inductances of a salient machine over the rotor angle, as in Krause, Wasynczuk, Sudhoff, Analysis of Electric
 *         Machinery and Drive Systems, 2002 (bibliography read, text not). With unit current into a and out of b,
 *         L_ab = 1.5 (Ld d^2 + Lq q^2), (d, q) the rotor-frame components of (1, -1/sqrt 3): 2 Ld at 150, 2 Lq at 60
 *         degrees. The voltage of the open end by hand: 18 V over L_ab gives the slope of the current, its flux in the
 *         rotor frame the voltage of each phase, and a is at 18 V.
 */
import { describe, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { phaseCurrents_A, switchedOn } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, TINY } from '../support/rigs.ts';

const VDC = 18;
const DEGREE = Math.PI / 180;

/** Rotor angle [deg], L_ab [uH], voltage of the open end c [V]. */
const TABLE = [
  [0, 90, 12],
  [30, 110, 126 / 11],
  [60, 120, 9],
  [90, 110, 72 / 11],
  [150, 80, 9],
] as const;

/** Terminals in turn: plus, minus, open, and the rotor angle of the table as seen from them. */
const PAIRS = [
  ['a and b', 0, 1, 2, 0],
  ['b and c', 1, 2, 0, 120],
  ['c and a', 2, 0, 1, 240],
] as const;

/** One PWM period of the link between two terminals, the third cut off or with its gates off. */
function pulsed(plus: number, open: number, degrees: number, cut: boolean, r_ohm = TINY): Plant {
  const winding = linearWinding({ ...MACHINE_S, r_ohm });
  const plant = livePlant(drillWith(merge(idealSupply(VDC), LOCKED, winding)), 1e-6, degrees * DEGREE);
  if (cut) plant.damage.set((['legA', 'legB', 'legC'] as const)[open], BROKEN.wireOpen);
  const duties = [0, 0, 0];
  duties[plus] = 1;
  switchedOn(plant, cut ? 7 : 7 - 2 ** open, duties);
  plant.runPeriod();
  return plant;
}

describe.each([
  ['its wire broken', true],
  ['its gates off', false],
])('two phases, the third with %s', (_, cut) => {
  describe.each(PAIRS)('between %s', (_pair, plus, minus, open, from) => {
    it.each(TABLE)('at %f degrees have %f uH', (degrees, l_uH, open_V) => {
      const plant = pulsed(plus, open, degrees + from, cut);
      const i_A = phaseCurrents_A(plant);
      const because = 'a straight line is exact for the trapezoidal rule; the resistance is as good as none';
      expectNear((VDC * plant.time_s) / i_A[plus], l_uH * 1e-6, { abs: 1e-14, because });
      expectNear(i_A[minus], -i_A[plus], { abs: 1e-10, because });
      expectNear(i_A[open], 0, { abs: 1e-10, because: 'a multiplier holds it at zero, to rounding' });
      const ends = [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')];
      expectNear(ends[open], open_V, { abs: 1e-8, because });
      expectNear(ends[plus] - ends[minus], VDC, { abs: 1e-8, because });
    });
  });
});

describe('two phases with their resistance', () => {
  it.each(TABLE)('answer at %f degrees as one branch of 100 mohm and %f uH', (degrees, l_uH) => {
    const plant = pulsed(0, 2, degrees, true, MACHINE_S.r_ohm);
    const [r_ohm, l_H] = [2 * MACHINE_S.r_ohm, l_uH * 1e-6];
    const z = (plant.time_s * r_ohm) / l_H;
    const expected = (VDC / r_ohm) * (1 - Math.exp(-z));
    const step = (1e-6 * r_ohm) / l_H;
    expectNear(phaseCurrents_A(plant)[0], expected, {
      abs: ((1.5 * VDC) / r_ohm) * (step ** 2 / 12) * z * Math.exp(-z) + 1e-6,
      because: 'trapezoidal rule on a decay, half of it for the next term',
    });
  });
});
