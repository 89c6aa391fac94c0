/**
 * Zero-current clamping in the dead time, against ngspice on a half bridge with an inductor to a fixed voltage. The plant
 * does it with three legs and a slowly turning rotor: two legs hold their phases at ground.
 *
 * Source  tests/spice/clamping.cir as solved by ngspice (results.json).
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, phaseCurrents_A, spinning, starOf, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { merge } from '../support/rigs.ts';

const { params, numbers, wave } = deck('clamping');
/** One and a half times the EMF of phase a is what stands behind the star; in 0.5 ms it falls by 1e-9 of itself. */
const p: Readonly<Record<string, number>> = {
  ...params,
  emf_V: params.mid_V / 1.5,
  speed_rad_s: 0.1,
  angle_rad: -Math.PI / 2,
};

function started(): Plant {
  const plant = spinning(p, merge(circuit(p), starOf(p)), 0.25e-6);
  const psiAlpha = plant.read('psiAlpha') + p.start_A * p.l_H;
  switchedOn(plant, 7, [p.duty, 0, 0], { iAlpha: p.start_A, psiAlpha });
  return plant;
}

const edges = 'two gate edges of 10 ps at 18.7 V and 60 uH make 6 uA; straight lines between steps of 0.25 us 2 uA';

describe('zero-current clamping', () => {
  it('takes the current to zero, leaves it there and lets it go as in the circuit', () => {
    const trace = new Trace(started(), (plant) => [phaseCurrents_A(plant)[0]]);
    wave.t_s.forEach((t_s, k) => {
      expectNear(trace.at(t_s)[0], wave.i_A[k], { abs: 1e-5, because: edges });
    });
    expectNear(trace.at(487.5e-6)[0], numbers.peak_A, { abs: 1e-5, because: edges });
  });

  it('stays at zero as long', () => {
    const flat = (i_A: readonly number[]) => i_A.filter((each) => Math.abs(each) < 1e-5).length;
    const trace = new Trace(started(), (plant) => [phaseCurrents_A(plant)[0]]);
    const samples = wave.t_s.map((t_s) => trace.at(t_s)[0]);
    expect(flat(wave.i_A)).toBeGreaterThan(3);
    expect(flat(samples)).toBe(flat(wave.i_A));
  });

  it('lets the terminal float at the voltage behind the inductor', () => {
    const plant = started();
    while (plant.time_s < 463e-6 - 1e-9) plant.step();
    const floating = wave.pole_V.filter((_, k) => Math.abs(wave.i_A[k]) < 1e-5);
    expectNear(floating[1], p.mid_V, { abs: 1e-6, because: 'ngspice drives 1.2 nA of leakage through 0.1 ohm' });
    expectNear(plant.read('floatPole'), floating[1], {
      abs: 5e-6,
      because: 'what locating the zero leaves, some nA, is taken out of 60 uH in the remaining 0.2 us: 1 uV',
    });
  });

  it('has the mean voltage and current of the circuit', () => {
    const plant = started();
    let sum = 0;
    let last = phaseCurrents_A(plant)[0];
    while (plant.tick < 10) {
      const before_s = plant.time_s;
      plant.step();
      const now = phaseCurrents_A(plant)[0];
      if (before_s > 450e-6 - 1e-9) sum += 0.5 * (last + now) * (plant.time_s - before_s);
      last = now;
    }
    expectNear(plant.read('meanA'), numbers.pole_V, {
      abs: 5e-6,
      because: 'an edge of 10 ps at 18.7 V in a period is 4 uV',
    });
    expectNear(sum / p.period_s, numbers.current_A, { abs: 1e-5, because: edges });
  });
});
