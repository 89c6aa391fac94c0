/**
 * A rotor that runs down by itself: every gate off, the link above what the magnets induce, the gear in neutral.
 *
 * Source  J dw/dt = -B w - Tc, by hand: w = (w0 + Tc/B) exp(-B t / J) - Tc/B until it stops at J/B ln(1 + B w0 / Tc); the
 *         angle is the integral of that, and all of J w0^2 / 2 ends as heat of the rotor. Values computed from these.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { circuit, POLE_PAIRS, spinning } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, TINY } from '../support/rigs.ts';

const H_S = 2e-6;
const J = 1e-5;
const B = 2e-6;
const TC = 5e-3;
const W0 = 1000;
const STOPS_S = 1.682361;
/** A phase has 16 V at the start, two terminals 28 V. */
const LINK_V = 36;
const BRIDGE = { period_s: 50e-6, dead_s: 0.5e-6, rds_ohm: 1e-3, diode_V: 0.7, diode_ohm: 4e-3, shunt_ohm: TINY };

function coasting(w_rad_s: number, link_V = LINK_V): Plant {
  const p = { ...BRIDGE, link_V, angle_rad: 0.3, speed_rad_s: w_rad_s * POLE_PAIRS };
  const shaft = { rotor_kgm2: J, rotorFriction_Nm: TC, rotorViscous_Nms: B };
  return spinning(p, merge(circuit(p), linearWinding(MACHINE_S), { shaft }), H_S);
}

function runTo(plant: Plant, t_s: number): void {
  while (plant.time_s < t_s - H_S) plant.runPeriod();
}

describe.each([
  ['forward', 1],
  ['backward', -1],
])('a rotor that runs down, turning %s', (_, way) => {
  const plant = coasting(way * W0);

  it('has the speeds of the closed form', () => {
    for (const [t_s, w] of [
      [0.5, 666.93096],
      [1, 365.55764],
    ]) {
      runTo(plant, t_s);
      expectNear(plant.time_s, t_s, { abs: 1e-9, because: 'a whole number of updates' });
      expectNear(plant.read('rotorSpeed'), way * w, { abs: 6e-6, because: 'five printed decimals' });
    }
  });

  it('stops when and where it should', () => {
    runTo(plant, STOPS_S - 100e-6);
    while (plant.read('rotorSpeed') !== 0 && plant.time_s < 1.7) plant.step();
    expectNear(plant.time_s, STOPS_S, { abs: H_S + 5e-7, because: 'the next step after it, and six printed decimals' });
    const turned = (J / B) * (W0 - (TC / B) * Math.log(1 + (B * W0) / TC));
    expectNear(plant.read('rotorAngle') - 0.3 / POLE_PAIRS, way * turned, {
      abs: 1e-7,
      because: 'order 2: (B h / J)^2 is 2e-13; half a step at the end at 1 mrad/s; rounding of a million sums',
    });
  });

  it('then stands still', () => {
    const angle = plant.read('rotorAngle');
    runTo(plant, 1.8);
    expect(plant.read('rotorSpeed')).toBe(0);
    expect(plant.read('rotorAngle')).toBe(angle);
  });

  it('has turned its energy into heat, and drawn no current', () => {
    expectNear(plant.read('lossRotor'), 0.5 * J * W0 * W0, { abs: 1e-9, because: 'rounding of a million sums' });
    expect(plant.read('lossCopper')).toBe(0);
    expect(plant.read('lossDiode')).toBe(0);
    expect(plant.read('chuckAngle')).toBe(0);
  });
});

describe('a rotor on a link below its EMF', () => {
  it('runs down faster, because the diodes feed the link', () => {
    const plant = coasting(W0, 18);
    runTo(plant, 0.5);
    expect(plant.read('rotorSpeed')).toBeLessThan(660);
    expect(plant.read('lossDiode')).toBeGreaterThan(0);
  });
});
