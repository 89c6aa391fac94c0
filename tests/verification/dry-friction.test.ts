/**
 * A mass on a spring that is pulled at constant speed over dry friction.
 *
 * Source  Canudas de Wit, Olsson, Astrom, Lischinsky, "A new model for control of systems with friction", IEEE Trans. Autom.
 *         Control 40(3), 1995, 419-425 (parameters and experiments read in the repository auralius/LuGre): the mass sticks
 *         until the spring force is the break-away force, then slips.
 *
 * That model has bristles: the mass creeps by some micrometers before it breaks away, and breaks away at a force that falls
 * with the rate. The plant has none of it: its dry friction is a bounded multiplier, which holds whatever it can hold at
 * exactly no speed, with the same bound at rest and in motion. That is the limit of rigid bristles and of equal forces, and
 * it has a closed form: no creep, break-away at the bound whatever the rate, then x = v t - (v / w) sin w t, so that the
 * speed swings between 0 and 2 v and nothing sticks again.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, set } from '../support/rigs.ts';

const H_S = 1e-6;
const STIFF = 120;
const CHUCK = 6.6e-5;
const HOLDS_NM = 2;
const OMEGA = Math.sqrt(STIFF / CHUCK);

/** A chuck that a hand grips, on the gearbox as its spring, pulled by a rotor that nothing slows down. */
function pulled(speed_rad_s: number): Plant {
  const drill = drillWith({
    shaft: { rotor_kgm2: 1e6, chuck_kgm2: CHUCK, chuckFriction_Nm: 0 },
    gear: { stiffness_Nm_rad: STIFF, damping_Nms: 0, halfPlay_rad: 0 },
  });
  const plant = livePlant(drill, H_S);
  plant.hands.set('grip', HOLDS_NM);
  // Just before the spring has the torque that the hand holds: a millisecond of pull is left.
  const twist = HOLDS_NM / STIFF - 1e-3 * speed_rad_s;
  set(plant, { twist, rotorSpeed: speed_rad_s * plant.ratio });
  return plant;
}

/** Steps until the chuck has moved; the time of the step before, when it still stood [s]. */
function breakAway_s(plant: Plant): number {
  while (plant.time_s < 0.1) {
    const before = plant.time_s;
    plant.step();
    if (plant.read('chuckAngle') !== 0) return before;
  }
  throw new Error('the chuck never moved');
}

describe('dry friction', () => {
  it.each([0.1, 1, 5])('holds without creep until the spring has its torque, pulled at %f rad/s', (v) => {
    const plant = pulled(v);
    expectNear(breakAway_s(plant), 1e-3, { abs: 2 * H_S, because: 'two steps' });
    expectNear(plant.read('gearTorque'), HOLDS_NM, {
      abs: 2 * H_S * STIFF * v,
      because: 'the torque of two more steps; it does not hang on the rate of pull otherwise',
    });
  });

  it.each([0.1, 1, 5])('then slips as the closed form says, pulled at %f rad/s', (v) => {
    const plant = pulled(v);
    const start_s = breakAway_s(plant);
    let fastest = 0;
    let slowest = 1;
    const why = 'the moment of break-away is known to a step; a step of 1 us has (w h)^2 / 12 = 2e-7 of the phase';
    for (let n = 1; n <= 3 * 4660; n++) {
      plant.step();
      const t = plant.time_s - start_s;
      if (n % 466 === 0) {
        const x = v * t - (v / OMEGA) * Math.sin(OMEGA * t);
        expectNear(plant.read('chuckAngle'), x, { abs: 3 * v * H_S, because: why });
      }
      fastest = Math.max(fastest, plant.read('chuckSpeed'));
      slowest = Math.min(slowest, plant.read('chuckSpeed'));
    }
    expectNear(fastest, 2 * v, { abs: 1e-5 * v, because: why });
    expect(slowest).toBeGreaterThanOrEqual(0);
    expectNear(-plant.read('loadTorque'), HOLDS_NM, { abs: 1e-12, because: 'a bound is met exactly while it slips' });
  });

  it('holds against both directions and lets go in both', () => {
    const plant = pulled(-1);
    set(plant, { twist: -HOLDS_NM / STIFF + 1e-3 });
    expectNear(breakAway_s(plant), 1e-3, { abs: 2 * H_S, because: 'two steps' });
    expect(plant.read('chuckSpeed')).toBeLessThan(0);
  });
});
