/**
 * Three legs that switch almost together around zero current, so that legs float and diodes come and go within one dead time,
 * against ngspice on the same circuit.
 *
 * Source  tests/spice/clamping-star.cir as solved by ngspice (results.json). The plant moves by less than 4 uA between steps
 *         of 1 and of 0.25 us; what is left is the step of ngspice (4 ns; with 10 ns the deviation is 115 uA).
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, phaseCurrents_A, spinning, starOf, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { merge } from '../support/rigs.ts';

const { params: p, wave } = deck('clamping-star');

function started(h_s: number): Plant {
  const plant = spinning(p, merge(circuit(p), starOf(p)), h_s);
  switchedOn(plant, 7, [p.duty_a, p.duty_b, p.duty_c]);
  return plant;
}

const because =
  'gate edges of 10 ps at 18 V are 5 uA each, and ngspice finds the end of a diode to a fraction of its step of 4 ns: 0.1 ns is 36 uV of a period and 20 uA';

describe('legs that float in the dead time', () => {
  it.each([1e-6, 0.25e-6])('leave the currents of the circuit, in steps of %f s', (h_s) => {
    const trace = new Trace(started(h_s), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.ia_A[k], wave.ib_A[k], wave.ic_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], { abs: 4e-5, because });
      });
    });
  });

  it('have the mean terminal voltages of the circuit in every period', () => {
    const plant = started(1e-6);
    wave.mean_a_V.forEach((a_V, k) => {
      plant.runPeriod();
      const names = ['meanA', 'meanB', 'meanC'] as const;
      [a_V, wave.mean_b_V[k], wave.mean_c_V[k]].forEach((expected, leg) => {
        expectNear(plant.read(names[leg]), expected, { abs: 4e-5, because });
      });
    });
  });

  it('do so one and two at a time', () => {
    const plant = started(1e-6);
    const seen = [0, 0, 0, 0];
    while (plant.tick < 60) {
      plant.step();
      const floats = (leg: 'A' | 'B' | 'C') => plant.read(`on${leg}`) === 0 && plant.read(`diode${leg}`) === 0;
      seen[(['A', 'B', 'C'] as const).filter(floats).length]++;
    }
    expect(seen[1]).toBeGreaterThan(20);
    expect(seen[2]).toBeGreaterThan(2);
  });
});
