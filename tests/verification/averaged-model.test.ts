/**
 * The switching plant against a drive that knows averages over a PWM period only: with ideal legs they tell the same, and
 * dead time sets them apart by a vector of known length.
 *
 * Source  averaged voltage = duty times link: by definition of the mean. Dead time: 4/3 Vdc td fs = 0.24 V against the signs
 *         of the currents; Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991 (from memory). The averaged drive stands
 *         in tests/support/averaged.ts and is integrated live by npm odex.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { STILL, switchedOn } from '../spice/rig.ts';
import { AveragedDrive, dutiesOf, type Pair, turned } from '../support/averaged.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, set } from '../support/rigs.ts';

const VDC = 18;
const PERIOD_S = 1 / 20e3;
const DEAD_S = 500e-9;
/** Error of a pole that dead time makes [V]. */
const DV = 0.18;
const { polePairs: PP, r_ohm, ld_H, lq_H, magnet_Wb } = MACHINE_S;

/** One period of a drive: mean currents in the rotor frame [A], speed at its end [rad/s]. */
interface Row {
  readonly d: number;
  readonly q: number;
  readonly speed: number;
}

interface Case {
  readonly periods: number;
  /** Speed [rad/s] and electrical angle [rad] at the start. */ readonly speed: number;
  readonly angle: number;
  /** Infinity for a rotor of constant speed. */ readonly rotor_kgm2: number;
  readonly viscous_Nms: number;
  /** Rotor-frame voltage of a period [V]. */ readonly voltage: (period: number) => Pair;
}

/** Stator-frame voltage for the period after the running one, from where the rotor was when that began. */
function ahead(c: Case, n: number, angle: number, speed: number): Pair {
  return turned(c.voltage(n), angle + 1.5 * PP * speed * PERIOD_S);
}

/** Steps through the running period and takes the means of the rotor-frame currents, by trapezoids. */
function plantRow(plant: Plant): Row {
  const look = (): Pair => turned([plant.read('iAlpha'), plant.read('iBeta')], -PP * plant.read('rotorAngle'));
  const end = plant.tick + 1;
  let [d0, q0] = look();
  let t0 = plant.time_s;
  let d = 0;
  let q = 0;
  while (plant.tick < end) {
    plant.step();
    const [d1, q1] = look();
    const half = (0.5 * (plant.time_s - t0)) / PERIOD_S;
    d += half * (d0 + d1);
    q += half * (q0 + q1);
    [d0, q0, t0] = [d1, q1, plant.time_s];
  }
  return { d, q, speed: plant.read('rotorSpeed') };
}

function bySwitching(c: Case, deadTime_s: number): Row[] {
  const drill = drillWith(
    merge(STILL, idealSupply(VDC), linearWinding({ polePairs: PP, r_ohm, ld_H, lq_H, magnet_Wb }), {
      bridge: { deadTime_s },
      shaft: { rotor_kgm2: Math.min(c.rotor_kgm2, 1e9), rotorViscous_Nms: c.viscous_Nms },
    }),
  );
  const plant = livePlant(drill, 1e-6, c.angle);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: c.speed });
  const duties = dutiesOf(turned(c.voltage(0), c.angle + 0.5 * PP * c.speed * PERIOD_S), VDC);
  switchedOn(plant, 7, duties);
  const rows: Row[] = [];
  for (let n = 0; n < c.periods; n++) {
    const next = ahead(c, n + 1, PP * plant.read('rotorAngle'), plant.read('rotorSpeed'));
    plant.command(7, ...dutiesOf(next, VDC));
    rows.push(plantRow(plant));
  }
  return rows;
}

/** The same by averages; `lost_V` is taken off along the signs of the currents. */
function byAverages(c: Case, lost_V: number): Row[] {
  const p = { polePairs: PP, r_ohm, ld_H, lq_H, magnet_Wb, rotor_kgm2: c.rotor_kgm2, viscous_Nms: c.viscous_Nms };
  const drive = new AveragedDrive(p, c.speed, c.angle);
  let now = turned(c.voltage(0), c.angle + 0.5 * PP * c.speed * PERIOD_S);
  const rows: Row[] = [];
  for (let n = 0; n < c.periods; n++) {
    const next = ahead(c, n + 1, drive.angle_rad, drive.speed_rad_s);
    const [d, q] = drive.run(now, lost_V, PERIOD_S);
    rows.push({ d, q, speed: drive.speed_rad_s });
    now = next;
  }
  return rows;
}

/** Largest distance of two runs over the peak of the second: currents as vectors, and speed. */
function apart(a: readonly Row[], b: readonly Row[]): { current: number; speed: number } {
  const most = (of: (k: number) => number) => Math.max(...b.map((_, k) => of(k)));
  const peak = most((k) => Math.hypot(b[k].d, b[k].q));
  return {
    current: most((k) => Math.hypot(a[k].d - b[k].d, a[k].q - b[k].q)) / peak,
    speed: most((k) => Math.abs(a[k].speed - b[k].speed)) / most((k) => Math.abs(b[k].speed)),
  };
}

/** Both keep their currents well above the ripple, about 1 A, within which the sign at an edge is not that of the mean. */
const CASES: Record<string, Case> = {
  'a voltage step at 1000 rad/s': {
    periods: 200,
    speed: 250,
    angle: 0.3,
    rotor_kgm2: Number.POSITIVE_INFINITY,
    viscous_Nms: 0,
    voltage: () => [-3, 7],
  },
  'an acceleration from rest': {
    periods: 400,
    speed: 0,
    angle: 0.3,
    rotor_kgm2: 2e-5,
    viscous_Nms: 2e-3,
    voltage: () => [0, 4],
  },
};

describe.each(Object.entries(CASES))('%s', (_name, c) => {
  const ideal = bySwitching(c, 0);
  const dead = bySwitching(c, DEAD_S);
  const averages = byAverages(c, 0);

  it('moves currents and speed far from where they start', () => {
    expect(Math.max(...averages.map(({ d, q }) => Math.hypot(d, q)))).toBeGreaterThan(40);
    if (c.rotor_kgm2 < 1) expect(averages[c.periods - 1].speed).toBeGreaterThan(150);
  });

  it('is the same by switches and by averages without dead time', () => {
    const why = 'what averaging leaves out is of second order in the period over L/R: (50 us / 0.8 ms)^2';
    const { current, speed } = apart(ideal, averages);
    expectNear(current, 0, { abs: 0.004, because: why });
    expectNear(speed, 0, { abs: 0.004, because: why });
  });

  it('is not the same with dead time', () => {
    const { current, speed } = apart(dead, averages);
    expect(current).toBeGreaterThan(0.05);
    if (c.rotor_kgm2 < 1) expect(speed).toBeGreaterThan(0.03);
  });

  it('is the same again once the averages lose the vector of 4/3 dV', () => {
    const why = 'a sign that changes a period late is 0.24 V for 50 us over 40 uH, 0.3 A of a peak of 45 A or more';
    const { current, speed } = apart(dead, byAverages(c, DV));
    expectNear(current, 0, { abs: 0.01, because: why });
    expectNear(speed, 0, { abs: 0.01, because: why });
  });

  it('tells that vector from one of dV, from one of 5/3 dV and from one that helps the current', () => {
    for (const lost_V of [0.75 * DV, 1.25 * DV, -DV]) {
      expect(apart(dead, byAverages(c, lost_V)).current).toBeGreaterThan(0.015);
    }
  });
});

describe('a steady current of a locked rotor', () => {
  const RAD = Math.PI / 180;
  const steady = 'an exact mean: after 30 ms, 25 time constants, and with lossless switches only 1e-9 A is left';

  it.each([
    [0, 0],
    [20, 0],
    [75, 60],
    [-100, -120],
  ])('at %i degrees is smaller by 4/3 dV / R = 4.8 A, along %i degrees', (toward, along) => {
    const angle = 0.3;
    const c: Case = {
      periods: 600,
      speed: 0,
      angle,
      rotor_kgm2: Number.POSITIVE_INFINITY,
      viscous_Nms: 0,
      voltage: () => turned([2, 0], toward * RAD - angle),
    };
    const last = (rows: Row[]): Pair => turned([rows[c.periods - 1].d, rows[c.periods - 1].q], angle);
    const ideal = last(bySwitching(c, 0));
    const dead = last(bySwitching(c, DEAD_S));
    const [a, b] = last(byAverages(c, 0));
    expectNear(Math.hypot(ideal[0], ideal[1]), 40, { abs: 1e-6, because: steady });
    expectNear(ideal[0], a, { abs: 1e-6, because: steady });
    expectNear(ideal[1], b, { abs: 1e-6, because: steady });
    const missing: Pair = [a - dead[0], b - dead[1]];
    expectNear(Math.hypot(...missing), 4.8, { abs: 1e-6, because: steady });
    expectNear(Math.atan2(missing[1], missing[0]), along * RAD, { abs: 1e-6, because: steady });
    const corrected = last(byAverages(c, DV));
    expectNear(corrected[0], dead[0], { abs: 1e-6, because: steady });
    expectNear(corrected[1], dead[1], { abs: 1e-6, because: steady });
  });
});
