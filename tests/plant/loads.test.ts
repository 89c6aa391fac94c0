/**
 * What the chuck meets, through the whole plant: screw, bit in the recess, holes in wood and steel, test joint.
 *
 * Source  screw: shape of the torque curve read in Tor et al., Wood and Fiber Science (wfs.swst.org, article 2215); drill
 *         bits: Kienzle 1952 (from memory), evaluated by hand. Numbers of the screw are illustrative.
 */
import { describe, expect, it } from 'vitest';
import { LOADS } from '../../src/plant/load/index.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, type Overrides, set } from '../support/rigs.ts';

const SLOW_RAD_S = 8;

/** A drill whose rotor is a flywheel: the chuck turns at the same speed whatever it meets; in neutral gear it stands. */
function turning(load: (typeof LOADS)[number], overrides: Overrides, chuck_rad_s: number): Plant {
  const plant = livePlant(drillWith({ ...overrides, shaft: { ...overrides.shaft, rotor_kgm2: 10 } }), 1e-6, 0.2);
  plant.hands.set('meets', LOADS.indexOf(load));
  plant.command(0, 0, 0, 0);
  set(plant, { rotorSpeed: chuck_rad_s * plant.ratio, chuckSpeed: chuck_rad_s });
  return plant;
}

/** Runs and keeps what `see` says every update. */
function run(plant: Plant, time_s: number, see: () => number = () => 0): number[] {
  const seen: number[] = [];
  for (const end = plant.time_s + time_s; plant.time_s < end; ) {
    plant.runPeriod();
    seen.push(see());
  }
  return seen;
}

/** Largest of many thousand numbers. */
const largest = (list: readonly number[]): number => list.reduce((a, b) => Math.max(a, b));

/** A screw without scatter, whose bit is held well. */
const PLAIN = { scatter: 0 } as const;
const HELD = { hold_Nm: 100 } as const;

describe('a screw', () => {
  it('rises with depth, jumps at the head, gives way and collapses', () => {
    const plant = turning('screw', { screw: { ...PLAIN, shear_Nm: 100 }, bit: HELD }, SLOW_RAD_S);
    plant.hands.placeNew(0.02);
    const torque: number[] = [];
    const depth: number[] = [];
    run(plant, 13, () => {
      torque.push(-plant.read('loadTorque'));
      return depth.push(plant.read('depth'));
    });
    const { tip_Nm, thread_Nm_m, fullThread_m, seat_m, strip_N, clamp_N_m, strippedShare } = plant.params.screw;
    const at = (z: number) => torque[depth.findIndex((d) => d >= z)];
    const drive = tip_Nm + thread_Nm_m * fullThread_m;
    const why = 'the torque of the next update at the latest: 1e-6 m of depth, 2.5 N of clamp force';
    expectNear(at(0.03), tip_Nm + thread_Nm_m * 0.03, { abs: 0.01, because: why });
    expectNear(at(0.05), drive, { abs: 0.01, because: why });
    const peak = largest(torque);
    expect(peak).toBeGreaterThan(4 * drive);
    expectNear(largest(depth), seat_m + strip_N / clamp_N_m, { abs: 2e-6, because: why });
    // All of the thread has given way: what is left is a share of the driving torque, and no clamp force.
    expect(plant.read('stripped')).toBe(1);
    expectNear(torque[torque.length - 1], strippedShare * drive, { abs: 1e-9, because: 'a bound is met exactly' });
  });

  it('breaks when it yields before the wood does, and then carries nothing', () => {
    const plant = turning('screw', { screw: { ...PLAIN, shear_Nm: 5 }, bit: HELD }, SLOW_RAD_S);
    plant.hands.placeNew(0.0575);
    const torque = run(plant, 1.5, () => -plant.read('loadTorque'));
    expectNear(largest(torque), 5, { abs: 2e-3, because: 'the update in which it begins to yield rises by 2 mN·m' });
    expect(plant.read('shankTwist')).toBeGreaterThan(plant.params.screw.shearTwist_rad);
    expect(plant.read('loadTorque')).toBeCloseTo(0, 12);
    expect(plant.read('stripped')).toBe(0);
    plant.hands.placeNew(0.01);
    run(plant, 0.01);
    expect(plant.read('loadTorque')).toBeLessThan(-0.5);
  });

  it('asks for more to break loose than to go on turning out', () => {
    const plant = turning('screw', { screw: PLAIN, bit: HELD }, -SLOW_RAD_S);
    plant.hands.placeNew(plant.params.screw.seat_m + 0.0008);
    const freed: number[] = [];
    const torque = run(plant, 0.2, () => {
      freed.push(plant.read('freed'));
      return plant.read('loadTorque');
    });
    const { stick, loose_rad, outShare, tip_Nm, thread_Nm_m, fullThread_m } = plant.params.screw;
    const drive = outShare * (tip_Nm + thread_Nm_m * fullThread_m);
    // 2 kN take 2.787444 N·m to loosen (worked by hand).
    const clamp = 2.787444;
    const why = 'it acts from the second update on; by then the chuck has turned 0.4 mrad, 0.3 % of what frees it';
    expectNear(torque[1], stick * (drive + clamp), { abs: 0.004 * stick * (drive + clamp), because: why });
    const free = torque[freed.findIndex((turn) => turn > loose_rad) + 1];
    const less = plant.params.screw.clamp_N_m * plant.params.screw.pitch_m * (loose_rad / (2 * Math.PI)) * 1.393722e-3;
    expectNear(free, drive + clamp - less, { abs: 0.01, because: 'the screw has come out by an update more or less' });
    run(plant, 6);
    expect(plant.read('depth')).toBeLessThan(0.058 - 0.01);
  });

  it('differs from screw to screw by its scatter, the same for the same seed', () => {
    const shares = Array.from({ length: 400 }, () => 0);
    const plant = livePlant(drillWith({ screw: { scatter: 0.1 } }), 1e-6, 0.2);
    for (let k = 0; k < shares.length; k++) {
      plant.hands.placeNew(0);
      shares[k] = plant.read('screwShare');
    }
    const mean = shares.reduce((a, b) => a + b) / shares.length;
    const deviation = Math.sqrt(shares.reduce((a, b) => a + (b - mean) ** 2, 0) / shares.length);
    expectNear(mean, 1, { abs: 0.02, because: 'four standard errors of 400 draws' });
    expectNear(deviation, 0.1, { abs: 0.015, because: 'four standard errors of a deviation from 400 draws' });
    const again = livePlant(drillWith({ screw: { scatter: 0.1 } }), 1e-6, 0.2);
    again.hands.placeNew(0);
    expect(again.read('screwShare')).toBe(shares[0]);
  });
});

describe('a bit in the recess', () => {
  it('rides out at too little push: the chuck turns and jumps, the screw does not', () => {
    const plant = turning('screw', { screw: PLAIN, bit: { hold_Nm: 0.5, push_m: 0.02 } }, SLOW_RAD_S);
    plant.hands.placeNew(0.03);
    plant.hands.set('push', 20); // holds 0.9 N·m; the screw asks for 1.45
    run(plant, 1e-4);
    const depth = plant.read('depth');
    const torque = run(plant, 2, () => -plant.read('loadTorque'));
    expect(plant.read('depth')).toBe(depth);
    // Four catches on a turn, 16 rad in two seconds.
    expectNear(plant.read('bitJumps'), (4 * 16) / (2 * Math.PI), { abs: 1.5, because: 'whole jumps are counted' });
    expectNear(largest(torque), 0.9, { abs: 0.01, because: 'an update turns the bit by 1/4000 of the way down' });
    plant.hands.set('push', 120);
    run(plant, 0.5);
    expect(plant.read('depth')).toBeGreaterThan(0.0301);
  });
});

describe('a drill bit', () => {
  /** Feed of the steel preset at a push, by the catalog fit: thrust = 570 K D f^0.85. */
  const feed_mm = (push_N: number) => (push_N / (570 * 2.22 * 5)) ** (1 / 0.85);

  it('in steel takes the feed and torque of the published fits', () => {
    const plant = turning('steel', { steel: { scatter: 0, rub_Nm: 0 } }, 40);
    plant.hands.set('push', 150);
    plant.hands.placeNew(0.002);
    run(plant, 0.2);
    const f = feed_mm(150);
    const turns = (0.2 * 40) / (2 * Math.PI);
    expectNear(plant.read('depth') - 0.002, 1e-3 * f * turns, {
      abs: 1e-5 * f * turns,
      because: 'the chuck loses under 1 % of its speed to friction; exponential and logarithm are good to 1e-12',
    });
    const kc = 1780 * ((f / 2) * Math.sin((59 * Math.PI) / 180)) ** -0.17;
    const byHand = (kc * f * 25) / 8 / 1000;
    expectNear(-plant.read('loadTorque'), byHand, { abs: 1e-9, because: 'the same formula in other units' });
  });

  it('bites where the point comes out, then turns free', () => {
    const plant = turning('steel', { steel: { scatter: 0 } }, 60);
    plant.hands.set('push', 150);
    plant.hands.placeNew(0.0035);
    const torque = run(plant, 12, () => -plant.read('loadTorque'));
    const steady = torque[100];
    const { rub_Nm } = plant.params.steel;
    // Without its middle the point takes half the push: the feed grows by 2^(1/0.85), the torque by that to the 0.83.
    const atExit = steady - rub_Nm;
    expect(largest(torque) - rub_Nm).toBeGreaterThan(atExit * 2 ** (0.83 / 0.85) * 0.999);
    expectNear(torque[torque.length - 1], rub_Nm, { abs: 1e-12, because: 'the hole is through: it only rubs' });
  });

  it('stands still where the drill has less torque than the bite asks for, and comes out backwards', () => {
    const plant = livePlant(drillWith({ steel: { cutting_Pa: 9e9 } }), 1e-6, 0.2);
    plant.hands.set('meets', LOADS.indexOf('steel'));
    plant.hands.set('push', 400);
    plant.hands.placeNew(0.002);
    run(plant, 0.05);
    expect(plant.read('chuckSpeed')).toBe(0);
    set(plant, { rotorSpeed: -200 });
    run(plant, 0.02);
    expect(plant.read('chuckAngle')).toBeLessThan(0);
  });

  it('in wood: 4.7 and 3.7 N·m of a 25.4 mm bit come out of the cutting forces that follow from them', () => {
    // McMillin, Woodson, Forest Products Journal 22(11), 1972: 42 and 33 in-lb at a chip of 0.020 in; two lips assumed.
    for (const [kc, torque] of [
      [57.9e6, 4.745],
      [45.5e6, 3.728],
    ]) {
      const wood = { diameter_m: 0.0254, thrust_N: 429, chisel: 0, cutting_Pa: kc, scatter: 0, rub_Nm: 0 };
      const plant = turning('wood', { wood }, 40);
      plant.hands.set('push', 429 * 1.016);
      plant.hands.placeNew(0.015);
      run(plant, 0.02);
      expectNear(-plant.read('loadTorque'), torque, { abs: 0.005, because: 'the cutting force has three digits' });
    }
  });
});

describe('a test joint', () => {
  it.each([27, 324, 650])('of %d degrees rises by 90 percent of its torque over them', (degrees) => {
    const span = (degrees * Math.PI) / 180;
    const plant = turning('joint', { joint: { full_Nm: 10 } }, 20);
    plant.hands.set('jointSpan', span);
    plant.hands.placeNew();
    const at: number[] = [];
    const torque = run(plant, 1.2, () => {
      at.push(plant.read('chuckAngle'));
      return -plant.read('loadTorque');
    });
    const first = torque.findIndex((t) => t >= 1);
    const last = torque.findIndex((t) => t >= 10);
    expectNear(at[last] - at[first], span, { abs: 0.002, because: 'two updates of 1 mrad each' });
  });

  it('keeps what was tightened and takes its share to loosen', () => {
    const plant = turning('joint', { joint: { full_Nm: 10, outShare: 0.6 } }, 20);
    plant.hands.placeNew();
    run(plant, 0.25);
    const tightened = -plant.read('loadTorque');
    expect(tightened).toBeGreaterThan(5);
    set(plant, { rotorSpeed: 0, chuckSpeed: 0, twist: 0 });
    run(plant, 0.02);
    expect(plant.read('chuckSpeed')).toBe(0);
    set(plant, { rotorSpeed: -20 * plant.ratio, chuckSpeed: -20 });
    plant.runPeriod();
    expectNear(plant.read('loadTorque'), 0.6 * tightened, {
      abs: 0.01,
      because: 'the chuck moves by 1 mrad an update',
    });
  });
});
