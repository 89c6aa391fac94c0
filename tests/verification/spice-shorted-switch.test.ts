/**
 * The high switch of leg a shorted, all gates off, the machine turning, against ngspice on the same circuit.
 *
 * Source  tests/spice/shorted-switch.cir as solved by ngspice (results.json).
 */
import { describe, expect, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, phaseCurrents_A, spinning, starOf, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { merge } from '../support/rigs.ts';

const { params: p, wave } = deck('shorted-switch');

function started(h_s: number): Plant {
  const plant = spinning(p, merge(circuit(p), starOf(p)), h_s);
  plant.damage.set('legA', BROKEN.highShort);
  switchedOn(plant, 0, [0, 0, 0]);
  return plant;
}

const why = 'steps of order 2: 35 uA of 59 A at 1 us, a 16th of it at 0.25 us; ngspice, 1e-6 A and nine digits';

describe('shorted high switch', () => {
  it.each([
    [1e-6, 1e-4],
    [0.25e-6, 8e-6],
  ])('lets the EMF drive the currents of the circuit, in steps of %f s', (h_s, abs) => {
    const trace = new Trace(started(h_s), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.ia_A[k], wave.ib_A[k], wave.ic_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], { abs, because: why });
      });
    });
  });

  it('never lets current out of the diodes of b and c', () => {
    const trace = new Trace(started(1e-6), phaseCurrents_A);
    for (const t_s of wave.t_s) {
      const [, b, c] = trace.at(t_s);
      expect(Math.max(b, c), `at ${t_s} s`).toBeLessThan(1e-6);
    }
    expect(Math.max(...wave.ib_A, ...wave.ic_A)).toBeLessThan(1e-6);
  });

  it('has the mean terminal voltages of the circuit in every update', () => {
    const plant = started(0.25e-6);
    wave.mean_a_V.forEach((a_V, k) => {
      plant.runPeriod();
      const names = ['meanA', 'meanB', 'meanC'] as const;
      [a_V, wave.mean_b_V[k], wave.mean_c_V[k]].forEach((expected, leg) => {
        expectNear(plant.read(names[leg]), expected, {
          abs: 1e-5,
          because: 'a diode that ends 50 ps later moves its terminal by up to 9 V: 9 uV of an update',
        });
      });
    });
  });
});
