/**
 * All low switches on while the machine turns, against ngspice: a star of resistance and inductance as a circuit, and a
 * salient machine that saturates as its rotor-frame equations.
 *
 * Source  tests/spice/phase-short.cir and saturated-short.cir as solved by ngspice (results.json). Steady currents: the two
 *         voltage equations at constant speed, id = -w^2 L flux / (R^2 + w^2 L^2), iq = -w R flux / (R^2 + w^2 L^2), by hand.
 */
import { describe, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, POLE_PAIRS, phaseCurrents_A, spinning, starOf, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, type Overrides } from '../support/rigs.ts';

const plain = deck('phase-short');
const salient = deck('saturated-short');

function shorted(p: Readonly<Record<string, number>>, winding: Overrides, h_s: number): Plant {
  const plant = spinning(p, merge(circuit(p), winding), h_s);
  switchedOn(plant, 7, [0, 0, 0]);
  return plant;
}

function rotorCurrents_A(plant: Plant): number[] {
  const [c, s] = [plant.read('cos'), plant.read('sin')];
  const [a, b] = [plant.read('iAlpha'), plant.read('iBeta')];
  return [c * a + s * b, c * b - s * a];
}

const why = 'steps of order 2: 35 uA of 59 A at 1 us, a 16th of it at 0.25 us; ngspice, 1e-6 A and nine digits';
const STEPS = [
  [1e-6, 1e-4],
  [0.25e-6, 8e-6],
] as const;

describe('three-phase short', () => {
  it.each(STEPS)('carries the currents of the circuit, in steps of %f s', (h_s, abs) => {
    const { params: p, wave } = plain;
    const trace = new Trace(shorted(p, starOf(p), h_s), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.ia_A[k], wave.ib_A[k], wave.ic_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], { abs, because: why });
      });
    });
  });

  it('settles at the closed form', () => {
    const { params: p } = plain;
    const plant = shorted(p, starOf(p), 1e-6);
    while (plant.time_s < 16e-3) plant.step();
    const r = p.r_ohm + p.rds_ohm + p.shunt_ohm;
    const x = p.speed_rad_s * p.l_H;
    const per = p.emf_V / (r * r + x * x);
    const because = 'order 2 of a step of 1 us, 35 uA; exp(-16 ms R/L) of 60 A is 0.1 uA';
    const [id_A, iq_A] = rotorCurrents_A(plant);
    expectNear(id_A, -x * per, { abs: 1e-4, because });
    expectNear(iq_A, -r * per, { abs: 1e-4, because });
  });
});

describe('three-phase short of a salient machine that saturates', () => {
  const { params: p, wave } = salient;
  const winding = linearWinding({
    polePairs: POLE_PAIRS,
    r_ohm: p.r_ohm,
    ld_H: p.ld_h,
    lq_H: p.lq_h,
    magnet_Wb: p.magnet_wb,
    satD2: p.satd2,
    satD3: p.satd3,
    satCross: p.satcross,
    satQ3: p.satq3,
  });

  it.each(STEPS)('carries the currents of the rotor-frame equations, in steps of %f s', (h_s, abs) => {
    const trace = new Trace(shorted(p, winding, h_s), rotorCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const [id_A, iq_A] = trace.at(t_s);
      expectNear(id_A, wave.id_A[k], { abs, because: why });
      expectNear(iq_A, wave.iq_A[k], { abs, because: why });
    });
  });

  it('brakes with their torque', () => {
    const plant = shorted(p, winding, 1e-6);
    wave.t_s.forEach((t_s, k) => {
      // The last step lies half a microsecond to both sides of the sample, and the plant gives its mean.
      while (plant.time_s < t_s) plant.step();
      expectNear(plant.read('airGap'), wave.torque_Nm[k], {
        abs: 2e-6,
        because: '1e-6 of 58 A and 0.4 N·m each, for order 2 in 1 us and for ngspice',
      });
    });
  });
});
