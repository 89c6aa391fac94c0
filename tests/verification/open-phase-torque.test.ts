/**
 * Torque of a machine that carries the same current into a and out of b, its third phase cut off, over the rotor angle.
 *
 * Source  torque as the sum of EMF times current over speed, in phase quantities (Krause, Wasynczuk, Sudhoff, Analysis of
 *         Electric Machinery and Drive Systems, 2002; bibliography read, text not). With e_a = -w flux sin(angle),
 *         T = p flux i (-sin(angle) + sin(angle - 120 deg)): amplitude sqrt(3) p flux i, zero twice a turn, which is why
 *         such a machine may not start. Six digits were computed from this.
 */
import { describe, expect, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { circuit, phaseCurrents_A, spinning, switchedOn } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, type Overrides, TINY } from '../support/rigs.ts';

const I_A = 20;
const R_OHM = MACHINE_S.r_ohm;
const WINDING = linearWinding({ ...MACHINE_S, ld_H: 50e-6, lq_H: 50e-6 });
const DEGREE = Math.PI / 180;
/** 35 time constants of 1 ms. */
const SETTLED_S = 35e-3;
const BRIDGE = { period_s: 50e-6, dead_s: 0, rds_ohm: TINY, diode_V: 0, diode_ohm: TINY, shunt_ohm: TINY };

/** The link drives current into one phase and out of another at the rotor angle given; the third wire is broken. */
function driven(into: number, out: number, degrees: number, more: Overrides = {}): Plant {
  const p = { ...BRIDGE, link_V: 2 * R_OHM * I_A, angle_rad: degrees * DEGREE, speed_rad_s: 0 };
  const plant = spinning(p, merge(circuit(p), WINDING, more), 1e-6);
  plant.damage.set((['legA', 'legB', 'legC'] as const)[3 - into - out], BROKEN.wireOpen);
  const duties = [0, 0, 0];
  duties[into] = 1;
  switchedOn(plant, 7, duties);
  return plant;
}

/** Rotor angle [deg] and torque [N·m]. */
const TABLE = [
  [0, -0.277128],
  [30, -0.48],
  [60, -0.554256],
  [90, -0.48],
  [120, -0.277128],
  [150, 0],
  [180, 0.277128],
  [210, 0.48],
  [240, 0.554256],
  [270, 0.48],
  [300, 0.277128],
  [330, 0],
] as const;

describe.each([
  ['into a and out of b', 0, 1, 0],
  ['into b and out of c', 1, 2, 120],
  ['into c and out of a', 2, 0, 240],
])('20 A %s', (_, into, out, from) => {
  it.each(TABLE)('make at %f degrees %f N·m', (degrees, torque_Nm) => {
    const plant = driven(into, out, degrees + from);
    while (plant.time_s < SETTLED_S) plant.runPeriod();
    const i_A = phaseCurrents_A(plant);
    const because = '0.7 C out of a link of 1e9 F lower its 2 V by 7e-10 V, the current by 7e-9 A';
    expectNear(i_A[into], I_A, { abs: 1e-8, because });
    expectNear(i_A[out], -I_A, { abs: 1e-8, because });
    expectNear(plant.read('airGap'), torque_Nm, { abs: 5e-7, because: 'six printed decimals' });
  });
});

describe('a rotor that is let go', () => {
  const FREE = { shaft: { rotor_kgm2: 1e-5, rotorViscous_Nms: 2e-3 } };

  /** Electrical angle at which it comes to rest [deg]. */
  function rest_deg(degrees: number): number {
    const plant = driven(0, 1, degrees, FREE);
    while (plant.time_s < 0.3) plant.runPeriod();
    expectNear(plant.read('rotorSpeed'), 0, { abs: 1e-6, because: 'it swings out within some 10 ms' });
    return (plant.read('rotorAngle') * MACHINE_S.polePairs) / DEGREE;
  }

  it('stays where there is no torque', () => {
    expectNear(rest_deg(330), 330, { abs: 1e-9, because: 'rounding of the torque at its zero' });
  });

  it.each([
    [152, 330],
    [148, -30],
    [240, 330],
    [20, -30],
  ])('turns from %f degrees to where the torque vanishes falling: %f degrees', (from, to) => {
    expectNear(rest_deg(from), to, { abs: 1e-3, because: 'exp(-t/tau) of the swing, at worst 10 ms' });
  });

  it('does not start from the zero where the torque rises', () => {
    const plant = driven(0, 1, 150, FREE);
    while (plant.time_s < 5e-3) plant.runPeriod();
    expect(Math.abs(plant.read('rotorSpeed'))).toBeLessThan(1e-9);
  });
});
