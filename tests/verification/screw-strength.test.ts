/**
 * Is the screw of the preset a likely one? Torque on the way in, force at which the thread in the wood gives way.
 *
 * Source  withdrawal: formulas and places in support/withdrawal.ts; 109 lb/in for 0.45 and 0.190 in is printed on
 *         engineeringtoolbox.com (d_1815), the other values are computed. Density 350 to 450 kg/m3 for softwood: classes
 *         C24 and up, from memory.
 *         Torques: Tor et al., Wood and Fiber Science (wfs.swst.org, article 2215): OSB 1.04 to 1.75 N·m driving, 3.30 to
 *         5.91 stripping; particleboard 1.01 to 1.84 and 3.12 to 6.05, ratios 3.08 to 3.53. Tor et al., BioResources 15(4),
 *         2020, 8121-8132: aspen plywood, ratio of stripping to seating 2 to 7.
 *
 * These are bands of plausibility, not check values: the published screws went into boards, the preset's goes into a leg of
 * solid wood, and no measurement of that was found. Its stripping torque of 8.6 N·m lies above all of the boards.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import { clampForce_N } from '../../src/plant/load/screw.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, set } from '../support/rigs.ts';
import { LB_IN_N_M, lagScrew_lb_in, withdrawal_N, withdrawal_N_mm2, woodScrew_lb_in } from '../support/withdrawal.ts';

const { screw } = BENCH_18;
/** Thread of the preset's 5 mm screw in the wood [mm]. */
const THREAD_MM = screw.fullThread_m * 1e3;

interface Drive {
  /** Largest torque before the head meets the board, and after [N·m]. */ readonly drive_Nm: number;
  readonly strip_Nm: number;
  /** Largest clamp force [N]. */ readonly clamp_N: number;
  readonly broken: boolean;
}

/** The screw of the preset, driven by the plant until its thread in the wood has given way. */
function driven(): Drive {
  const plant = livePlant(drillWith({ screw: { scatter: 0 }, shaft: { rotor_kgm2: 10 } }), 2e-6);
  plant.hands.set('meets', LOADS.indexOf('screw'));
  plant.hands.placeNew(0.03);
  set(plant, { rotorSpeed: 30 * plant.ratio, chuckSpeed: 30 });
  let drive = 0;
  let strip = 0;
  let clamp = 0;
  while (plant.read('stripped') < 1 && plant.time_s < 10) {
    plant.runPeriod();
    const torque = -plant.read('loadTorque');
    if (plant.read('depth') < screw.seat_m) drive = Math.max(drive, torque);
    else strip = Math.max(strip, torque);
    clamp = Math.max(clamp, clampForce_N(plant.state, plant.params.screw));
  }
  expect(plant.read('stripped')).toBe(1);
  return { drive_Nm: drive, strip_Nm: strip, clamp_N: clamp, broken: plant.read('shankTwist') > 0 };
}

let run: Drive;
beforeAll(() => {
  run = driven();
});

describe('withdrawal', () => {
  it('gives the published and computed values', () => {
    expectNear(woodScrew_lb_in(0.45, 0.19), 109.654, { abs: 5.1e-4, because: 'three printed decimals' });
    expectNear(woodScrew_lb_in(0.45, 0.19), 109, { abs: 1, because: 'the page cuts to a whole number' });
    expectNear(lagScrew_lb_in(0.5, 0.25), 225, { abs: 0.051, because: 'one printed decimal' });
    expectNear(withdrawal_N_mm2(6, 60, 350), 15.2886, { abs: 5.1e-5, because: 'four printed decimals' });
    expectNear(withdrawal_N(6, 60, 350), 4127.9, { abs: 0.051, because: 'one printed decimal' });
    expectNear(withdrawal_N(8, 80, 350), 8233.5, { abs: 0.051, because: 'one printed decimal' });
    expect(() => withdrawal_N(5, 60, 350)).toThrow('d_mm is 5; allowed is 6 to 12 mm');
  });

  it('of the preset lies between what a wood screw of its size may carry and what a thicker one holds', () => {
    const { clamp_N } = run;
    // Specific gravity by weight and volume, dry: about the density over that of water.
    const design_N = woodScrew_lb_in(0.35, 5 / 25.4) * LB_IN_N_M * (THREAD_MM / 1e3);
    expect(clamp_N).toBeGreaterThan(design_N);
    // 6 mm, the thinnest screw of the formula, in the densest softwood.
    expect(clamp_N).toBeLessThan(withdrawal_N(6, THREAD_MM, 450));
  });
});

describe('torque', () => {
  it('of the screw on its way in lies in the band of boards', () => {
    const { drive_Nm } = run;
    expect(drive_Nm).toBeGreaterThan(1.01);
    expect(drive_Nm).toBeLessThan(1.84);
  });

  it('that strips the wood is 2 to 7 times as large', () => {
    const { drive_Nm, strip_Nm } = run;
    expect(strip_Nm / drive_Nm).toBeGreaterThan(2);
    expect(strip_Nm / drive_Nm).toBeLessThan(7);
  });

  it('strips the wood before the shank yields, whose strength is at least 1.5 times the driving torque', () => {
    const { drive_Nm, broken } = run;
    // EN 14592 asks for 1.5 (from memory).
    expect(broken).toBe(false);
    expect(screw.shear_Nm / drive_Nm).toBeGreaterThan(1.5);
  });
});
