/**
 * Selector, clutch and the tool in the hand.
 *
 * Source  by hand: conservation of momentum, an oscillator of one degree of freedom; a clutch that lets go at its setting
 *         and passes far less between two detents is common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, type Overrides, set, TINY } from '../support/rigs.ts';

/** The bench drill with legs off: what moves, moves by itself. */
function coasting(overrides: Overrides): Plant {
  const plant = livePlant(drillWith(overrides), 1e-6, 0.2);
  plant.command(0, 0, 0, 0);
  return plant;
}

function run(plant: Plant, time_s: number, see: () => void = () => {}): void {
  for (const end = plant.time_s + time_s; plant.time_s < end; ) {
    plant.runPeriod();
    see();
  }
}

const NO_FRICTION = { rotorFriction_Nm: 0, rotorViscous_Nms: 0, windage_Nms2: 0, chuckFriction_Nm: 0 };
const NO_IRON = { ironHysteresis_S_s: 0, ironEddy_S: 0, cogPoles_Nm: 0, cogSlots_Nm: 0, cogBoth_Nm: 0 };

describe('a shift of gears', () => {
  it('goes through neutral for its time', () => {
    const plant = coasting({ gear: { shift_s: 0.06 } });
    run(plant, 0.001);
    plant.hands.set('gear', 1);
    plant.runPeriod();
    plant.runPeriod();
    expect(plant.read('engaged')).toBe(0);
    const start = plant.time_s;
    while (plant.read('engaged') === 0 && plant.time_s < 1) plant.runPeriod();
    expect(plant.read('engaged')).toBe(1);
    expectNear(plant.time_s - start, 0.06, { abs: 2 * plant.period_s, because: 'looked at once an update' });
  });

  it('waits until both sides turn nearly alike', () => {
    const still = { ...NO_FRICTION, rotorViscous_Nms: 2e-5 };
    const plant = coasting({ shaft: still, winding: NO_IRON, gear: { engage_rad_s: 5 } });
    plant.hands.set('gear', 0);
    plant.runPeriod();
    set(plant, { rotorSpeed: 1000, chuckSpeed: 0 });
    plant.hands.set('gear', 2);
    run(plant, 0.08);
    expect(plant.read('engaged')).toBe(0);
    while (plant.read('engaged') === 0 && plant.time_s < 3) plant.runPeriod();
    // The rotor has slowed down to 5 rad/s at the output side of the gearbox.
    const ratio = plant.ratio;
    expect(plant.read('engaged')).toBe(2);
    const expected = -Math.log((5 * ratio) / 1000) * (plant.params.shaft.rotor_kgm2 / 2e-5);
    expectNear(plant.time_s, expected, {
      abs: 0.01 * expected,
      because: 'fields of the coasting rotor are left aside',
    });
  });

  it('in neutral takes the chuck off the motor', () => {
    const plant = coasting({ shaft: NO_FRICTION });
    plant.hands.set('gear', 0);
    plant.runPeriod();
    plant.runPeriod();
    set(plant, { rotorSpeed: 500, chuckSpeed: 3 });
    run(plant, 0.05);
    expectNear(plant.read('chuckSpeed'), 3, { abs: 1e-12, because: 'nothing acts on it' });
    expect(plant.read('gearTorque')).toBe(0);
  });
});

describe('the clutch', () => {
  /** A flywheel for a rotor drives the chuck against a stop. */
  function driven(clutch: number): Plant {
    const plant = coasting({ shaft: { ...NO_FRICTION, rotor_kgm2: 1 }, winding: NO_IRON });
    plant.hands.set('clutch', clutch);
    plant.hands.set('meets', LOADS.indexOf('stop'));
    set(plant, { rotorSpeed: 5 * plant.ratio, chuckSpeed: 5 });
    return plant;
  }

  it('passes its setting at most, and far less in the mean', () => {
    for (const setting of [1, 5]) {
      const plant = driven(setting);
      const full = plant.params.clutch.settings_Nm[setting - 1];
      let largest = 0;
      let sum = 0;
      let n = 0;
      run(plant, 1.5, () => {
        largest = Math.max(largest, plant.read('gearTorque'));
        if (plant.time_s < 0.5) return;
        sum += plant.read('gearTorque');
        n++;
      });
      const because = 'an update turns it by 0.25 mrad, 0.3 % of the flank after the crest';
      expectNear(largest, full, { abs: 0.01 * full, because });
      // Straight flanks from the setting down to its share and up again: the mean lies halfway.
      const mean = 0.5 * (1 + plant.params.clutch.ratchetShare) * full;
      expectNear(sum / n, mean, { abs: 0.05 * mean, because: '14 detents and a part of one pass in the second' });
      expect(plant.read('slipAngle')).toBeGreaterThan(4);
      expect(plant.read('lossClutch')).toBeGreaterThan(0.8 * mean * plant.read('slipAngle'));
    }
  });

  it('when locked passes on whatever comes', () => {
    const plant = driven(0);
    let largest = 0;
    run(plant, 0.3, () => {
      largest = Math.max(largest, plant.read('gearTorque'));
    });
    expect(plant.read('slipAngle')).toBe(0);
    expect(largest).toBeGreaterThan(10);
  });
});

describe('the tool in the hand', () => {
  const body = { body_kgm2: 0.03, wrist_Nm_rad: 25, wrist_Nms: 0.2, wristGrip_Nm: 200 };

  it('swings as one inertia on spring and damper', () => {
    const free = { ...NO_FRICTION, rotor_kgm2: 1e-8 };
    const plant = coasting({ body, shaft: free, winding: { ...NO_IRON, magnet_Wb: TINY } });
    plant.hands.set('gear', 0);
    plant.runPeriod();
    plant.hands.set('wrist', 1);
    set(plant, { bodyAngle: 0.2, wristTwist: 0.2, wristStore: 0.5 * 25 * 0.04 });
    const w0 = Math.sqrt(25 / 0.03);
    const decay = 0.2 / (2 * 0.03);
    const w = Math.sqrt(w0 ** 2 - decay ** 2);
    const start = plant.time_s;
    run(plant, 0.4, () => {
      const t = plant.time_s - start;
      const expected = 0.2 * Math.exp(-decay * t) * (Math.cos(w * t) + (decay / w) * Math.sin(w * t));
      const because = 'the hand is renewed every 50 us: a delay of half of that against a swing of 0.2 s, as damping';
      expectNear(plant.read('bodyAngle'), expected, { abs: 0.2 * 0.01, because });
    });
  });

  it('leans against the torque of the chuck, and a vice does not', () => {
    const lean = (wrist: number): number => {
      const plant = livePlant(drillWith({ body: { ...body, wrist_Nms: 2 } }), 1e-6, 0.2);
      plant.hands.set('wrist', wrist);
      plant.hands.set('grip', 1.5);
      for (let k = 0; k < 24_000; k++) {
        const code = plant.read('hall');
        const d = [0, 0, 0];
        d[[0, 1, 2, 1, 0, 0, 2][code]] = 0.45;
        const low = [0, 2, 0, 0, 1, 2, 1][code];
        plant.command((1 << d.indexOf(0.45)) | (1 << low), d[0], d[1], d[2]);
        plant.runPeriod();
      }
      expect(plant.read('chuckSpeed')).toBeGreaterThan(10);
      return plant.read('bodyAngle');
    };
    // The chuck brings 1.5 N·m to the hand that grips it; the tool is turned the other way.
    const because = 'the rotor still gains speed, and six-step torque ripples: a few percent of the mean';
    expectNear(lean(1), -1.5 / 25, { abs: 0.004, because });
    expect(lean(0)).toBe(0);
  });

  it('turns in a hand that is too weak', () => {
    const plant = coasting({ body: { ...body, wristGrip_Nm: 0.6 }, shaft: { rotor_kgm2: 1e-3 } });
    plant.hands.set('wrist', 1);
    plant.hands.set('meets', LOADS.indexOf('stop'));
    set(plant, { rotorSpeed: 30 * plant.ratio, chuckSpeed: 30 });
    let most = 0;
    run(plant, 0.5, () => {
      most = Math.max(most, Math.abs(plant.read('wristTorque')));
    });
    expectNear(most, 0.6, { abs: 1e-12, because: 'the hand holds its grip and no more' });
    expect(Math.abs(plant.read('bodyAngle'))).toBeGreaterThan(1);
  });
});
