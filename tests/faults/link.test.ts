/**
 * Faults of the link capacitor by the ripple that they leave.
 *
 * Source  charge of a capacitor that gives I during D / f and takes the mean of it for the rest: I D (1 - D) / (f C) from
 *         peak to peak; a step of I times the series resistance at each edge. Worn out at 70 % of the capacitance and twice
 *         the resistance: read on m.oem-pcb.com (capacitor plague).
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { STILL } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';
import { type Fault, PERIOD_S, put } from './rig.ts';

const AMPS = 20;
const C_F = 470e-6;
const ESR_OHM = 0.03;
/** Everything that could change within a period changes slowly: a pack behind 1 H, a winding of 1 H. */
const SMOOTH = merge(STILL, linearWinding({ polePairs: 4, r_ohm: TINY, ld_H: 1, lq_H: 1, magnet_Wb: 1e-3 }), {
  pack: {
    series: 1,
    ocvCharge: [0, 1],
    ocvCell_V: [18, 18 + 1e-12],
    leads_ohm: TINY,
    leads_H: 1,
    r0_ohm: TINY,
    r1_ohm: TINY,
    r2_ohm: TINY,
  },
  link: { c_F: C_F, esr_ohm: ESR_OHM, logic_ohm: 1e9, logicUp_V: 7, logicDown_V: 6 },
  bridge: { rds_ohm: TINY, shunt_ohm: TINY, diode_V: 0, diode_ohm: TINY, deadTime_s: 0 },
});

function drawing(duty: number, ...faults: Fault[]): Plant {
  const plant = livePlant(drillWith(SMOOTH), 0.5e-6, 0);
  plant.hands.set('gear', 0);
  if (faults.length > 0) put(plant, ...faults);
  plant.command(7, duty, 0, 0);
  set(plant, { iAlpha: AMPS, psiAlpha: 1e-3 + AMPS, packCurrent: AMPS * duty });
  plant.runPeriod();
  return plant;
}

/** Swing of the capacitor over a period, and largest step of the link from one step of time to the next [V]. */
function ripple(duty: number, ...faults: Fault[]): { swing_V: number; step_V: number } {
  const plant = drawing(duty, ...faults);
  let [least, most, step_V] = [1e9, 0, 0];
  while (plant.tick < 2) {
    const before = plant.read('link');
    plant.step();
    least = Math.min(least, plant.read('capacitor'));
    most = Math.max(most, plant.read('capacitor'));
    step_V = Math.max(step_V, Math.abs(plant.read('link') - before));
  }
  return { swing_V: most - least, step_V };
}

const triangle_V = (duty: number, c_F: number): number => (AMPS * duty * (1 - duty) * PERIOD_S) / c_F;

describe.each([0.2, 0.5, 0.9])('at duty %f', (duty) => {
  const swing = {
    abs: 1.2e-4,
    because: 'the winding gains up to 0.8 mA in 1 H, which the pack behind 1 H does not follow',
  };
  const step = {
    abs: 0.021,
    because: 'the mean of the steps on both sides of an edge: 20 A for half of 1 us change 470 uF by 21 mV at most',
  };

  it('a new capacitor swings by I D (1 - D) / (f C)', () => {
    expectNear(ripple(duty).swing_V, triangle_V(duty, C_F), swing);
    expectNear(ripple(duty).step_V, AMPS * ESR_OHM, step);
  });

  it('an aged one at the end of its life by 1 / 0.7 of that, and steps by twice the voltage', () => {
    const aged = ripple(duty, { fault: 'link-aged', size: 0.3 });
    expectNear(aged.swing_V, triangle_V(duty, 0.7 * C_F), swing);
    expectNear(aged.step_V, 2 * AMPS * ESR_OHM, step);
  });

  it('one with a bad joint steps by I times its resistance, and swings as before', () => {
    const bad = ripple(duty, { fault: 'link-resistance', size: 3 });
    expectNear(bad.swing_V, triangle_V(duty, C_F), swing);
    expectNear(bad.step_V, 4 * AMPS * ESR_OHM, step);
  });
});

describe('energy of a capacitor that ages under way', () => {
  it('is booked: what was stored in the part that is lost is gone', () => {
    const plant = drawing(0.5);
    const [v, before, astray_J] = [plant.read('capacitor'), plant.read('lossLink'), plant.energy().residual_J];
    plant.damage.set('linkLost', 0.5);
    plant.runPeriod();
    plant.runPeriod();
    const heat = 2 * PERIOD_S * ESR_OHM * (AMPS / 2) ** 2;
    const at_V = plant.read('capacitor');
    expect(at_V).toBeGreaterThan(0.9 * v);
    expectNear(plant.read('lossLink') - before - heat, 0.25 * C_F * v * v, {
      abs: 1e-4,
      because: 'the voltage has rippled by 0.3 V of 18 V in the period before: 0.3 % of 38 mJ',
    });
    const { residual_J, passed_J } = plant.energy();
    expect(Math.abs(residual_J - astray_J)).toBeLessThan(1e-6 * passed_J);
  });
});
