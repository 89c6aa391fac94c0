/**
 * All legs off while something turns the machine faster than the pack can hold: body diodes, link and pack, against ngspice
 * on the same circuit.
 *
 * Source  tests/spice/rectifier.cir as solved by ngspice (results.json).
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, phaseCurrents_A, spinning, starOf, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { merge } from '../support/rigs.ts';

const { params: p, numbers, wave } = deck('rectifier');

function started(h_s: number): Plant {
  const pack = { r0_ohm: p.cell_ohm, leads_ohm: p.leads_ohm, leads_H: p.leads_h };
  const link = { c_F: p.link_f, esr_ohm: p.esr_ohm, logic_ohm: p.logic_ohm };
  return spinning(p, merge(circuit(p), starOf(p), { pack, link }), h_s);
}

const why =
  'a diode that starts within a step starts at its beginning, and steps of order 2: at 1 us some 0.1 mA of 18 A, a 16th of it at 0.25 us; ngspice, 1e-6 of 18 A';

describe('machine driven above the link', () => {
  it.each([
    [1e-6, 2e-4],
    [0.25e-6, 1.5e-5],
  ])('draws the phase currents of a diode bridge, in steps of %f s', (h_s, abs) => {
    const trace = new Trace(started(h_s), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.ia_A[k], wave.ib_A[k], wave.ic_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], { abs, because: why });
      });
    });
  });

  it('lifts the link and charges the pack as the circuit does', () => {
    const trace = new Trace(started(0.25e-6), (plant) => [plant.read('capacitor'), plant.read('packCurrent')]);
    expect(Math.max(...wave.cap_V)).toBeGreaterThan(p.link_V + 0.5);
    wave.t_s.forEach((t_s, k) => {
      const [cap_V, pack_A] = trace.at(t_s);
      expectNear(cap_V, wave.cap_V[k], { abs: 3e-6, because: 'second order, and 1e-7 V of ngspice' });
      expectNear(pack_A, wave.pack_A[k], { abs: 3e-5, because: why });
    });
  });

  it('has the same means in every update', () => {
    const plant = started(0.25e-6);
    wave.mean_pack_A.forEach((mean_A, k) => {
      plant.runPeriod();
      expectNear(plant.read('packMean'), mean_A, { abs: 3e-5, because: why });
      expectNear(plant.read('meanA'), wave.mean_a_V[k], {
        abs: 2e-5,
        because: 'a diode that ends 0.1 ns later moves its terminal by up to 9 V: 18 uV of a period',
      });
    });
  });

  it('charges the pack with the direct current of the circuit', () => {
    const plant = started(1e-6);
    for (let k = 0; k < 100; k++) plant.runPeriod();
    let sum = 0;
    for (let k = 0; k < 60; k++) {
      plant.runPeriod();
      sum += plant.read('packMean');
    }
    expect(numbers.charge_A).toBeLessThan(-10);
    expectNear(sum / 60, numbers.charge_A, {
      abs: 2e-5,
      because: 'order 2 of a step of 1 us, most of it averaged out',
    });
  });
});
