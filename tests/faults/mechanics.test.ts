/**
 * Faults of gearbox, chuck and work, each by the sight that is published for it.
 *
 * Source  free bodies: friction over inertia, torque over angle, angular impulse. The clutch: its setting. A jam turns the
 *         tool with 100 to 1000 degrees a second within 100 ms: public patent texts on kickback, names left out. Lost motion over the play: Nordin,
 *         Galic', Gutman 1997 (bibliography read, text not).
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, merge, type Overrides, set } from '../support/rigs.ts';
import { PERIOD_S, put } from './rig.ts';

const HIGH = [0, 1, 2, 1, 0, 0, 2];
const LOW = [0, 2, 0, 0, 1, 2, 1];
const DEGREE = Math.PI / 180;

/** The bench drill in a vice, in six steps at a duty, run up to some speed. */
function running(duty: number, seconds: number, more: Overrides = {}): Plant {
  const plant = livePlant(drillWith(merge({ pack: { overCurrent_A: 1e6 } }, more)), 1e-6, 0);
  go(plant, duty, seconds);
  return plant;
}

function go(plant: Plant, duty: number, seconds: number, look: () => void = () => {}): void {
  const end = plant.tick + Math.round(seconds / PERIOD_S);
  while (plant.tick < end) {
    const code = plant.read('hall');
    const duties = [0, 0, 0];
    duties[HIGH[code]] = duty;
    plant.command((1 << HIGH[code]) | (1 << LOW[code]), duties[0], duties[1], duties[2]);
    plant.runPeriod();
    look();
  }
}

describe('gear jumps out', () => {
  it('the chuck runs down by its own friction, the motor speeds up without load, and the gear catches again', () => {
    const plant = running(0.4, 0.3);
    plant.hands.set('grip', 3);
    go(plant, 0.4, 0.2);
    const loaded = plant.read('rotorSpeed');
    const current = plant.read('packMean');
    plant.hands.set('grip', 0);
    put(plant, { fault: 'gear-jumps-out' });
    go(plant, 0.4, 2 * PERIOD_S);
    expect(plant.read('engaged')).toBe(0);
    const [from, from_s] = [plant.read('chuckSpeed'), plant.time_s];
    go(plant, 0.4, 0.01);
    expect(plant.read('gearTorque')).toBe(0);
    const { chuckFriction_Nm, chuck_kgm2 } = plant.params.shaft;
    expectNear((from - plant.read('chuckSpeed')) / (plant.time_s - from_s), chuckFriction_Nm / chuck_kgm2, {
      abs: 1e-6 * (chuckFriction_Nm / chuck_kgm2),
      because: 'dry friction on a free chuck: a straight line; rounding',
    });
    go(plant, 0.4, 0.3);
    expect(plant.read('rotorSpeed')).toBeGreaterThan(1.05 * loaded);
    expect(plant.read('packMean')).toBeLessThan(0.7 * current);
    expect(plant.read('chuckSpeed')).toBe(0);
    plant.damage.set('gearOut', 0);
    go(plant, 0, 1);
    expect(plant.read('engaged')).toBe(2);
  });
});

describe('worn clutch', () => {
  /** Largest torque that the gear passes to a chuck that is held, the clutch at its fifth place: 2.5 N·m. */
  function slips_Nm(size: number): { torque: number; slipped: number } {
    const plant = livePlant(drillWith({ pack: { overCurrent_A: 1e6 } }), 1e-6, 0);
    plant.hands.set('clutch', 5);
    plant.hands.set('grip', 50);
    if (size > 0) put(plant, { fault: 'clutch-worn', size });
    let torque = 0;
    go(plant, 0.5, 0.15, () => {
      torque = Math.max(torque, plant.read('gearTorque'));
    });
    return { torque, slipped: plant.read('slipAngle') };
  }

  it.each([0, 0.2, 0.4])('lets go at its setting less %f of it', (size) => {
    const { torque, slipped } = slips_Nm(size);
    expectNear(torque, 2.5 * (1 - size), {
      abs: 0.01,
      because: 'the largest is met between two updates of the ratchet',
    });
    expect(slipped).toBeGreaterThan(0.1);
  });
});

describe('jam', () => {
  /** A tool in a hand, or loose in it, running, its chuck about to jam. */
  function held(more: Overrides = {}): Plant {
    const plant = running(0.4, 0.3, more);
    plant.hands.set('wrist', 1);
    go(plant, 0.4, PERIOD_S);
    return plant;
  }

  it('stops the chuck within a millisecond; the tool turns with 100 to 1000 degrees a second within 100 ms', () => {
    const plant = held();
    const from_s = plant.time_s;
    let stands_s = 1;
    let most = 0;
    let torque = 0;
    put(plant, { fault: 'chuck-jams' });
    go(plant, 0.4, 0.1, () => {
      if (plant.read('chuckSpeed') === 0) stands_s = Math.min(stands_s, plant.time_s - from_s);
      most = Math.min(most, plant.read('bodySpeed'));
      torque = Math.max(torque, plant.read('gearTorque'));
    });
    expect(stands_s).toBeLessThan(0.001);
    expect(most / -DEGREE).toBeGreaterThan(100);
    expect(most / -DEGREE).toBeLessThan(1000);
    expect(torque).toBeGreaterThan(5);
  });

  it('gives the tool the momentum of rotor and gear: once without rebound of the teeth, at most twice', () => {
    const plant = held({ body: { wrist_Nm_rad: 1e-6, wrist_Nms: 1e-6 } });
    const [speed, ratio] = [plant.read('rotorSpeed'), plant.ratio];
    put(plant, { fault: 'chuck-jams' });
    plant.command(0, 0, 0, 0);
    let most = 0;
    for (let k = 0; k < 200; k++) {
      plant.runPeriod();
      most = Math.min(most, plant.read('bodySpeed'));
    }
    // Impulse P of the work: body J w = -P + P/n, rotor j (v + w - v0) = -P/n, and with the chuck held v/n + w = 0.
    const { rotor_kgm2: j } = plant.params.shaft;
    const { body_kgm2: J } = plant.params.body;
    const plastic = (-speed * (ratio - 1) * j) / (J + (ratio - 1) ** 2 * j);
    expect(most / plastic).toBeGreaterThan(0.9);
    expect(most / plastic).toBeLessThan(2);
  });

  it('asks for so much that it holds whatever the drill has', () => {
    const plant = running(0.2, 0.2);
    put(plant, { fault: 'chuck-jams' });
    go(plant, 0.3, 0.1);
    expect(plant.read('chuckSpeed')).toBe(0);
    expect(-plant.read('loadTorque')).toBeGreaterThan(1);
  });
});

/** A drill that turns a bit in steel, well in. */
function boring(): Plant {
  const plant = running(0.5, 0.2);
  plant.hands.set('push', 250);
  plant.hands.set('meets', LOADS.indexOf('steel'));
  go(plant, 0.5, 0.5);
  expect(plant.read('depth')).toBeGreaterThan(0);
  expect(plant.read('loadTorque')).toBeLessThan(-0.1);
  return plant;
}

describe('bit breaks', () => {
  it('the load is gone at once, the motor speeds up, and the depth stands', () => {
    const plant = boring();
    const [speed, depth] = [plant.read('rotorSpeed'), plant.read('depth')];
    put(plant, { fault: 'bit-breaks' });
    go(plant, 0.5, 2 * PERIOD_S);
    expectNear(plant.read('loadTorque'), 0, { abs: 1e-12, because: 'nothing is left that could ask for torque' });
    const at = plant.read('depth');
    go(plant, 0.5, 0.2);
    expect(plant.read('depth')).toBe(at);
    expectNear(at, depth, { abs: 1e-6, because: 'the update in which it broke' });
    expect(plant.read('rotorSpeed')).toBeGreaterThan(1.01 * speed);
  });
});

describe('breakthrough', () => {
  it.each([0.5, 0.95])('leaves %f less of the load, at the same feed', (size) => {
    const [whole, through] = [boring(), boring()];
    put(through, { fault: 'breakthrough', size });
    go(whole, 0.5, 2 * PERIOD_S);
    go(through, 0.5, 2 * PERIOD_S);
    expectNear(through.read('loadTorque') / whole.read('loadTorque'), 1 - size, {
      abs: 1e-3,
      because: 'the grain of the work differs by what both have turned in a period',
    });
  });
});

describe('worn gearbox', () => {
  /** Angle that the rotor turns from one contact of the teeth to the other, the chuck held [rad]. */
  function lost_rad(size: number): number {
    const shaft = { rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0 };
    const winding = { cogPoles_Nm: 0, cogSlots_Nm: 0, cogBoth_Nm: 0, ironHysteresis_S_s: 0, ironEddy_S: 0 };
    const plant = livePlant(drillWith({ shaft, winding }), 1e-6, 0);
    plant.hands.set('grip', 60);
    if (size > 0) put(plant, { fault: 'gear-play', size });
    const until = (side: number): number => {
      set(plant, { rotorSpeed: 50 * side });
      for (let k = 0; k < 1e5 && side * plant.read('gearTorque') <= 0; k++) plant.step();
      expect(side * plant.read('gearTorque')).toBeGreaterThan(0);
      return plant.read('rotorAngle');
    };
    return until(1) - until(-1);
  }

  it.each([0.02, 0.1])('a reversal loses %f rad more at the chuck, times the ratio at the rotor', (size) => {
    const ratio = livePlant(drillWith({}), 1e-6, 0).ratio;
    expectNear(lost_rad(size) - lost_rad(0), ratio * size, {
      abs: 1e-3,
      because: 'steps of 20 rad/s for 1 us, and half a milliradian of bent teeth',
    });
  });
});
