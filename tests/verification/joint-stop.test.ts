/**
 * The drill runs into a joint with its drive off: the motion of the rotor becomes torque.
 *
 * Source  energy: J w^2 / 2 = T^2 / (2 k) gives T = w sqrt(J k), with the rotor seen through the gear, J i^2. Rotor of
 *         3.33e-6 kg m2 (public copy of a motor catalogue page), 25 to 1, 20 000 rpm: 16.7025 N·m at 10 N·m in 30 degrees,
 *         4.8216 N·m at 10 N·m in 360 degrees, by that formula. Degrees of hard and soft joints by edition: ISO 5393 as read
 *         in secondary sources (biqb.cn newsinfo/186; equiptech.com.my 2020/10/07).
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { fromDisplay } from '../../src/units/convert.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, linearWinding, livePlant, merge, type Overrides, set } from '../support/rigs.ts';

const FULL_NM = 10;
const RATIO = 25;
const ROTOR = 3.33e-6;
/** As light as a step of 1 us bears on a stiff gear: 5e-4 of the rotor behind the gear. */
const CHUCK = 1e-6;
/** Stiff beside the joints, for the gear [N·m/rad]. */
const STIFF = 5000;
const OUT_RAD_S = fromDisplay(20_000, 'rpm') / RATIO;
const DEGREE = Math.PI / 180;

/** A train of 25 to 1 without loss, play or friction, in a vice, running freely at full speed with its legs off. */
function running(overrides: Overrides): Plant {
  const still = { rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0, chuckFriction_Nm: 0 };
  const gear = {
    sunTeeth: [12, 12],
    ringTeeth: [48, 48],
    stagesInGear: [2, 2],
    basicEfficiency: [1, 1],
    halfPlay_rad: 0,
    damping_Nms: 0,
  };
  const shaft = { rotor_kgm2: ROTOR, chuck_kgm2: CHUCK, ...still };
  const plant = livePlant(drillWith(merge(linearWinding({}), { gear, shaft }, overrides)), 1e-6);
  set(plant, { rotorSpeed: OUT_RAD_S * RATIO, chuckSpeed: OUT_RAD_S });
  return plant;
}

/** Largest torque of the gear on the chuck until the chuck has stood still [N·m], and the turn into the joint [rad]. */
function impact(plant: Plant): { peak_Nm: number; turn_rad: number } {
  let peak = 0;
  let furthest = 0;
  const most_s = plant.time_s + 0.2;
  while (plant.time_s < most_s) {
    plant.step();
    peak = Math.max(peak, plant.read('gearTorque'));
    furthest = Math.max(furthest, plant.read('chuckAngle'));
    if (plant.read('rotorSpeed') < 0) break;
  }
  expect(plant.read('rotorSpeed')).toBeLessThan(0);
  return { peak_Nm: peak, turn_rad: furthest - plant.read('stopAngle') };
}

const CASES = [
  [30, 16.7025],
  [360, 4.8216],
] as const;

describe('10 N·m per turn of the joint', () => {
  it.each(CASES)('of %f degrees in the gear, against a rigid stop, peaks at %f N·m', (degrees, expected) => {
    const rate = FULL_NM / (degrees * DEGREE);
    const plant = running({ gear: { stiffness_Nm_rad: rate } });
    plant.hands.set('meets', LOADS.indexOf('stop'));
    const { peak_Nm } = impact(plant);
    expectNear(peak_Nm, expected, {
      abs: 5.1e-5,
      because: 'four printed decimals; the chuck stands against the stop, and (w h)^2 of the scheme is below 1e-8',
    });
  });

  it.each(CASES)('of %f degrees in a joint, through a stiff gear, peaks at %f N·m', (degrees, expected) => {
    const rate = FULL_NM / (degrees * DEGREE);
    const plant = running({
      gear: { stiffness_Nm_rad: STIFF },
      joint: { full_Nm: FULL_NM, span_rad: 0.9 * degrees * DEGREE },
    });
    plant.hands.set('jointSpan', 0.9 * degrees * DEGREE);
    plant.hands.set('meets', LOADS.indexOf('joint'));
    const { peak_Nm, turn_rad } = impact(plant);
    // The gear gives too, in series with the joint, and the chuck strikes with the rotor: both by the same formula.
    const both = ROTOR * RATIO ** 2 + CHUCK;
    const series = (rate * STIFF) / (rate + STIFF);
    const exact = OUT_RAD_S * Math.sqrt(both * series);
    expectNear(exact, expected, {
      abs: 2e-3 * expected,
      because: `gear ${rate / STIFF / 2} softer, chuck 2.4e-4 heavier`,
    });
    // The joint is met with a kink: the chuck rings on the gear with sqrt(k / J) = 7e4 rad/s.
    const ring = (rate * OUT_RAD_S) / Math.sqrt(STIFF / CHUCK);
    expectNear(peak_Nm, exact, { abs: 1.1 * ring, because: 'a ramp of torque on chuck and gear rings by rate over w' });
    expectNear(turn_rad * rate, exact, {
      abs: (1.1 * ring * rate) / STIFF + 1e-4 * exact,
      because: 'the same ring, as an angle; a place of the chuck once an update of 50 us bounds the joint',
    });
  });

  it.each([
    [27, 19.0986, 5.1e-5],
    [324, 1.59155, 5.1e-6],
    [650, 0.79333, 5.1e-6],
  ])('rises, for 9 N·m in %f degrees from 10 to 100 %%, by %f N·m/rad', (degrees, expected, abs) => {
    // So heavy that it does not slow down within a step.
    const plant = running({ joint: { full_Nm: FULL_NM }, shaft: { chuck_kgm2: 1e3 } });
    plant.hands.set('jointSpan', degrees * DEGREE);
    plant.hands.set('meets', LOADS.indexOf('joint'));
    const into = (turn_rad: number) => {
      set(plant, { twist: 0, rotorSpeed: RATIO, chuckSpeed: 1, chuckAngle: plant.read('stopAngle') + turn_rad });
      plant.step();
      return -plant.read('loadTorque');
    };
    const rate = (into(0.5) - into(0.25)) / 0.25;
    expectNear(rate, expected, { abs, because: 'the printed decimals' });
  });
});
