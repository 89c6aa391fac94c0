/**
 * Free play and stiffness of the gearbox: teeth push, they do not pull, and play makes no energy.
 *
 * Source  Nordin, Galic', Gutman, "New models for backlash and gear play", Int. J. Adapt. Control Signal Process. 11, 1997,
 *         49-63 (read): the classical dead zone with a damper gives the wrong torque, even of the wrong sign, where the
 *         teeth part. The example was computed from its formula: 20 N·m/rad, 0.05 N·m·s, half play 0.01 rad, twist 0.012 rad
 *         falling with 2 rad/s. Two masses on a spring: w^2 = k (1/J1 + 1/J2), closed form.
 */
import { describe, expect, it } from 'vitest';
import type { GearParams } from '../../src/plant/params.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, linearWinding, livePlant, merge, set } from '../support/rigs.ts';

const H_S = 1e-6;
const CHUCK = 6.6e-5;
const ROTOR = 3.3e-6;

/** Rotor and chuck alone on the gearbox: legs off, nothing rubs, mesh without loss, tool in a vice. */
function train(gear: Partial<GearParams>, h_s = H_S): Plant {
  const still = { rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0, chuckFriction_Nm: 0 };
  const shaft = { rotor_kgm2: ROTOR, chuck_kgm2: CHUCK, ...still };
  return livePlant(drillWith(merge(linearWinding({}), { shaft, gear: { basicEfficiency: [1, 1, 1], ...gear } })), h_s);
}

describe('tooth contact', () => {
  const [k, c, a] = [20, 0.05, 0.01];
  const gear = { stiffness_Nm_rad: k, damping_Nms: c, halfPlay_rad: a };
  const plant = train(gear);

  /** Torque on the chuck in the step after the teeth have this twist and rate of twist [N·m]. */
  function torque_Nm(twist: number, rate: number): number {
    set(plant, { twist, twistRate: 0, rotorSpeed: 0, chuckSpeed: -rate });
    plant.step();
    return plant.read('gearTorque');
  }

  it('of the published example lets go where the classical formula pulls with -0.06 N·m', () => {
    const classical = k * (0.012 - a) + c * -2;
    expectNear(classical, -0.06, { abs: 1e-15, because: 'exact algebra' });
    expectNear(torque_Nm(0.012, -2), 0, { abs: 1e-15, because: 'the damper takes the whole spring torque, not more' });
    expectNear(torque_Nm(-0.012, 2), 0, { abs: 1e-15, because: 'the same on the other flank' });
  });

  it('pushes with the spring and the damper together where teeth come closer', () => {
    const why =
      'in 1 us the twist moves by 0.5 urad: 5 uN·m at mid-step, and the torque changes the speed by as little';
    expectNear(torque_Nm(0.012, 0.5), k * 0.002 + c * 0.5, { abs: 1.5e-5, because: why });
    expectNear(torque_Nm(-0.012, -0.5), -k * 0.002 - c * 0.5, { abs: 1.5e-5, because: why });
  });

  it('never pulls, whatever twist and rate', () => {
    for (let twist = -0.03; twist <= 0.03; twist += 5e-4) {
      for (let rate = -5; rate <= 5; rate += 0.25) {
        const t = torque_Nm(twist, rate);
        // A step may reach or leave the flank; it is a push of the flank that is nearer.
        if (twist > 0) expect(t).toBeGreaterThanOrEqual(0);
        if (twist < 0) expect(t).toBeLessThanOrEqual(0);
        if (Math.abs(twist) < a - 1e-5) expect(t).toBe(0);
      }
    }
  });
});

describe('free train', () => {
  /** Energy of rotor, chuck and teeth [J]. */
  function energy_J(plant: Plant): number {
    const { gear } = plant.params;
    const twist = plant.read('twist');
    const bent = Math.max(0, Math.abs(twist) - gear.halfPlay_rad);
    return (
      0.5 *
      (ROTOR * plant.read('rotorSpeed') ** 2 +
        CHUCK * plant.read('chuckSpeed') ** 2 +
        gear.stiffness_Nm_rad * bent ** 2)
    );
  }

  /** 50 ms of a train whose two ends run against each other; throws when a step gains energy. */
  function rattle(damping_Nms: number, h_s: number): { plant: Plant; lost: number; contacts: number } {
    const plant = train({ halfPlay_rad: 0.02, damping_Nms }, h_s);
    set(plant, { rotorSpeed: 14 * 30, chuckSpeed: -20 });
    const start = energy_J(plant);
    let last = start;
    let contacts = 0;
    let touched = false;
    while (plant.time_s < 0.05) {
      plant.step();
      const now = energy_J(plant);
      // A few roundings of 1e-16 are no gain.
      if (now - last > 1e-15 * start) throw new Error(`gains ${now - last} J at ${plant.time_s} s`);
      last = now;
      const touches = Math.abs(plant.read('twist')) > 0.02;
      if (touches && !touched) contacts++;
      touched = touches;
    }
    return { plant, lost: 1 - last / start, contacts };
  }

  it.each([0, 0.02, 0.1])('with play and a damping of %f N·m·s gains energy in no step', (damping_Nms) => {
    const { plant, lost, contacts } = rattle(damping_Nms, H_S);
    expect(contacts).toBeGreaterThan(damping_Nms === 0 ? 10 : 1);
    if (damping_Nms > 0) expect(lost).toBeGreaterThan(0.1);
    // Momentum: nothing outside turns rotor and chuck but the ring in the vice, which gives the rotor 14 times its share.
    const momentum = 14 * ROTOR * plant.read('rotorSpeed') + CHUCK * plant.read('chuckSpeed');
    const before = 14 * ROTOR * 14 * 30 - CHUCK * 20;
    expectNear(momentum, before, { abs: 1e-11 * before, because: '50 000 roundings of 1e-16 each' });
  });

  it('without a damper loses only what a step of 1 us cannot resolve, an eighth of it at half the step', () => {
    const [coarse, fine] = [2e-6, 1e-6].map((h_s) => rattle(0, h_s).lost);
    expect(fine).toBeLessThan(1e-8);
    expectNear(Math.log2(coarse / fine), 3, {
      abs: 0.05,
      because: 'the speed at the end of a step is guessed from its last slope, which damps with the cube of the step',
    });
  });

  it('without play swings with sqrt(k (1/J1 + 1/J2))', () => {
    const k = 120;
    const plant = train({ halfPlay_rad: 0, damping_Nms: 0, stiffness_Nm_rad: k });
    set(plant, { twist: 0.01 });
    const crossings: number[] = [];
    let before = plant.read('twist');
    while (crossings.length < 41) {
      plant.step();
      const now = plant.read('twist');
      if (before > 0 !== now > 0) crossings.push(plant.time_s - (H_S * now) / (now - before));
      before = now;
    }
    const measured = (Math.PI * 40) / (crossings[40] - crossings[0]);
    const w = Math.sqrt(k * (1 / (ROTOR * 14 * 14) + 1 / CHUCK));
    expectNear(measured, w, {
      abs: 4e-7 * w,
      because: 'a scheme of order 2 is off by (w h)^2 / 12 = 1.7e-7; 0.5 % is the mark that is asked of such a model',
    });
  });
});
