/**
 * Published in, published out: the catalogue page of a motor family must come back from the engine.
 *
 * Source  slotless 4-pole servo motor of 30 mm, 200 W, windings for 24 V and 36 V: a public copy of the catalogue page, and
 *         repository mzlumi/ankle-prosthesis-sea-design, data/motors (transcribed from the March 2021 catalogue, p. 261).
 * Spread  the page rounds to three digits and mixes cold and warm values; the rows of the family disagree among
 *         themselves by up to 2 %, stated per row.
 */
import { describe, it } from 'vitest';
import { windingFromCatalogue } from '../../src/plant/catalogue.ts';
import { fromDisplay, toDisplay } from '../../src/units/convert.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, livePlant, merge, type Overrides } from '../support/rigs.ts';

const J = 3.33e-6;
const MOTORS = [
  // volt, ohm, henry, N·m/A, rpm/V, no-load A and rpm, stall A and N·m, gradient rpm/mN·m, time constant ms
  { v: 24, r: 0.102, l: 16e-6, km: 13.6e-3, kn: 700, i0: 0.728, n0: 16_700, iA: 236, ta: 3.22, grad: 5.21, tm: 1.82 },
  { v: 36, r: 0.21, l: 37e-6, km: 20.6e-3, kn: 465, i0: 0.482, n0: 16_700, iA: 171, ta: 3.52, grad: 4.75, tm: 1.66 },
] as const;
/** The page gives resistances and currents cold: the winding must not warm up on the way. */
const COLD = { winding_J_K: 1e9 };
type Motor = (typeof MOTORS)[number];

/** Torque and current of the locked motor, two phases on the supply, averaged over 60 degrees of rotor angle. */
function locked(m: Motor): { torque_Nm: number; current_A: number } {
  const winding = windingOf(m);
  let torque = 0;
  let current = 0;
  const angles = 24;
  for (let k = 0; k < angles; k++) {
    // B+ C-: best angle 0, so the sector runs from -30 to +30 degrees.
    const angle = ((k + 0.5) / angles - 0.5) * (Math.PI / 3);
    const plant = livePlant(drillWith(merge(idealSupply(m.v), LOCKED, { winding, heat: COLD })), 1e-6, angle);
    plant.command(6, 0, 1, 0);
    // 40 time constants of the winding
    for (let n = 0; n < (40 * m.l) / m.r / plant.period_s; n++) plant.runPeriod();
    torque += plant.read('airGap') / angles;
    current += (plant.read('iBeta') * Math.sqrt(3)) / 2 / angles;
  }
  return { torque_Nm: torque, current_A: current };
}

function windingOf(m: Motor): ReturnType<typeof windingFromCatalogue> {
  return windingFromCatalogue({
    terminal_ohm: m.r,
    terminal_H: m.l,
    torqueConstant_Nm_A: m.km,
    convention: 'mean',
    polePairs: 2,
  });
}

/** Speed reached by the motor alone under ideal block commutation and the friction that its no-load current means. */
function noLoad_rad_s(m: Motor): { speed_rad_s: number; rise_s: number } {
  const shaft = { rotor_kgm2: J, rotorFriction_Nm: m.km * m.i0, rotorViscous_Nms: 0, windage_Nms2: 0 };
  const alone: Overrides = { shaft, gear: { halfPlay_rad: 1e6 }, winding: windingOf(m) };
  const plant = livePlant(drillWith(merge(idealSupply(m.v), alone)), 1e-6, 0.1);
  const table: Record<number, readonly [number, number]> = {
    1: [1, 2],
    3: [1, 0],
    2: [2, 0],
    6: [2, 1],
    4: [0, 1],
    5: [0, 2],
  };
  const expected = fromDisplay(m.n0, 'rpm');
  let rise_s = 0;
  for (let n = 0; n < 800; n++) {
    const [high, low] = table[plant.read('hall')];
    const duty = [0, 0, 0];
    duty[high] = 1;
    plant.command((1 << high) | (1 << low), duty[0], duty[1], duty[2]);
    plant.runPeriod();
    if (rise_s === 0 && plant.read('rotorSpeed') > expected * (1 - Math.exp(-1))) rise_s = plant.time_s;
  }
  return { speed_rad_s: plant.read('rotorSpeed'), rise_s };
}

describe.each(MOTORS)('catalogue motor for $v V', (m) => {
  it('stalls at the published current and torque', () => {
    const { torque_Nm, current_A } = locked(m);
    expectNear(current_A, m.v / m.r, { abs: 1e-6 * (m.v / m.r), because: 'closed form; 40 time constants are over' });
    expectNear(current_A, m.iA, { abs: 0.01 * m.iA, because: 'the page rounds the resistance to three digits: 1 %' });
    expectNear(torque_Nm, m.ta, { abs: 0.01 * m.ta, because: 'product of two values of three digits: 1 %' });
  });

  it('has the published torque constant, speed constant and gradient', () => {
    expectNear(30 / (Math.PI * m.kn), m.km, { abs: 0.01 * m.km, because: 'three digits each' });
    const gradient = ((30_000 / Math.PI) * m.r) / m.km ** 2 / 1e6;
    expectNear(gradient, m.grad, { abs: 0.015 * m.grad, because: 'square of a value of three digits' });
    const speed = m.kn * (m.v - m.r * m.i0);
    expectNear(speed, m.n0, { abs: 0.005 * m.n0, because: 'the page rounds to 100 rpm' });
  });

  it('runs up to the published no-load speed with the published time constant', () => {
    const { speed_rad_s, rise_s } = noLoad_rad_s(m);
    // Block commutation on a sine EMF runs between V/peak and V/mean of the line EMF, which differ by pi/3 = 4.7 %; late
    // commutation by up to one PWM period (13 % of a sector) shifts it within that band.
    const band = 0.047 * m.n0;
    expectNear(toDisplay(speed_rad_s, 'rpm'), m.n0, { abs: band, because: 'mean and peak convention differ by pi/3' });
    // The inductance delays the current by L/R = 0.16 to 0.18 ms, and 63 % of the speed is reached in 5 % bins of it.
    const late = m.l / m.r + 2 * 50e-6;
    expectNear(rise_s * 1e3, m.tm, {
      abs: 0.12 * m.tm + late * 1e3,
      because: 'electrical delay L/R and two PWM periods',
    });
  });
});

describe('conversion', () => {
  it('keeps the 4.7 % between the two conventions', () => {
    const base = { terminal_ohm: 0.102, terminal_H: 16e-6, torqueConstant_Nm_A: 13.6e-3, polePairs: 2 };
    const mean = windingFromCatalogue({ ...base, convention: 'mean' }).magnet_Wb;
    const peak = windingFromCatalogue({ ...base, convention: 'peak' }).magnet_Wb;
    expectNear(mean, 4.111e-3, { abs: 5e-7, because: 'four printed digits' });
    expectNear(peak, 3.926e-3, { abs: 5e-7, because: 'four printed digits' });
    expectNear(mean / peak, Math.PI / 3, { abs: 1e-15, because: 'exact algebra' });
  });
});
