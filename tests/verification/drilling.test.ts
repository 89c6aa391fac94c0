/**
 * Torque and push of a drill bit against published cutting data.
 *
 * Source  Kienzle's law with its constants for C45, 2220 N/mm² and 0.14 (from memory), two lips, full hole: M = kc f d² / 8, evaluated
 *         by hand. Thrust 570 K D f^0.85 N and torque K D² (0.630 + 16.84 f) / 100 N·m: catalog fit with K = 2.22 for S20C of
 *         160 HB, read on docs.steelcam.org (page L068). Pine: McMillin, Woodson, Forest Products Journal 22(11), 1972, read
 *         in the treesearch archive, no. 8240: 25.4 mm, 2400 rpm, 0.020 in of chip, 42 and 33 in-lb.
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { DrillParams } from '../../src/plant/params.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, set } from '../support/rigs.ts';

const C45 = { diameter_m: 0.01, halfPoint_rad: (59 * Math.PI) / 180, cutting_Pa: 2220e6, chipPower: 0.14 };
const PUSH = { thrust_N: 570 * 2.22 * 10, thrustPower: 0.85, feedMost_m: 2e-3 };
const ALIKE = { scatter: 0, rub_Nm: 0, thickness_m: 0.05 };

/** A bit in the middle of its hole, turned by a flywheel. */
function drilling(load: 'steel' | 'wood', bore: Partial<DrillParams['steel']>, push_N: number, rpm: number): Plant {
  const chuck = (rpm * 2 * Math.PI) / 60;
  const plant = livePlant(drillWith({ [load]: { ...bore, ...ALIKE }, shaft: { rotor_kgm2: 100 } }), 1e-6, 0);
  plant.hands.set('meets', LOADS.indexOf(load));
  plant.hands.placeNew(0.02);
  plant.command(0, 0, 0, 0);
  set(plant, { rotorSpeed: chuck * plant.ratio, chuckSpeed: chuck, push: push_N });
  for (let k = 0; k < 200; k++) plant.runPeriod();
  return plant;
}

const torque = (plant: Plant) => -plant.read('loadTorque');

describe('a hole in steel', () => {
  it('of 10 mm takes 3222 N for a feed of 0.2 mm a turn, and 7.828 N·m', () => {
    const plant = drilling('steel', { ...C45, ...PUSH }, 3222, 1000);
    expectNear(plant.read('feed'), 0.2e-3, { abs: 1e-7, because: 'four digits of thrust are 5e-4 of the feed' });
    expectNear(torque(plant), 7.828, { abs: 0.004, because: 'the feed is good to 5e-4' });
    const turns = plant.read('chuckAngle') / (2 * Math.PI);
    expectNear(plant.read('depth') - 0.02, 0.2e-3 * turns, { abs: 1e-3 * 0.2e-3 * turns, because: 'the feed again' });
  });

  it('lies below the catalog fit for another steel by 12 percent', () => {
    // K D² (0.630 + 16.84 f) / 100 with D 10 mm and f 0.2 mm.
    const fit = (2.22 * 100 * (0.63 + 16.84 * 0.2)) / 100;
    expectNear(fit, 8.876, { abs: 5e-4, because: 'four printed digits' });
    const plant = drilling('steel', { ...C45, ...PUSH }, 3222, 1000);
    const because = 'two laws for two steels; either scatters by more than that from batch to batch';
    expectNear(torque(plant) / fit, 1, { abs: 0.15, because });
  });

  it('takes more torque with more push, but less than in proportion', () => {
    const one = torque(drilling('steel', { ...C45, ...PUSH }, 1000, 1000));
    const two = torque(drilling('steel', { ...C45, ...PUSH }, 2000, 1000));
    // Feed by 2^(1/0.85), torque by that to the 0.86.
    expectNear(two / one, 2 ** (0.86 / 0.85), { abs: 1e-6, because: 'both are powers' });
    expect(two).toBeGreaterThan(one);
  });
});

describe('a hole in pine', () => {
  it.each([
    ['along the grain', 57.9e6, 42],
    ['across it', 45.5e6, 33],
  ])('%s takes the measured torque and power', (_, cutting_Pa, inchPounds) => {
    const measured_Nm = inchPounds * 0.112985;
    const feed_mm = 2 * 0.02 * 25.4;
    const pine = {
      diameter_m: 0.0254,
      cutting_Pa,
      chipPower: 0,
      thrust_N: 430,
      thrustPower: 1,
      chisel: 0,
      feedMost_m: 5e-3,
    };
    const plant = drilling('wood', pine, 430 * feed_mm, 2400);
    const because = 'two printed digits of the torque, three of the cutting force that follows from it with two lips';
    expectNear(torque(plant), measured_Nm, { abs: 0.005 * measured_Nm, because });
    // Net power stayed below two horsepower.
    expect(torque(plant) * plant.read('chuckSpeed')).toBeLessThan(2 * 745.7);
  });
});
