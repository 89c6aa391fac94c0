/**
 * Switch states 100 and 110 on a winding that stands still, against ngspice on the same star.
 *
 * Source  tests/spice/state-100.cir as solved by ngspice (results.json).
 */
import { describe, it } from 'vitest';
import { deck } from '../spice/deck.ts';
import { phaseCurrents_A, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, TINY } from '../support/rigs.ts';

const { params: p, numbers, wave } = deck('state-100');
const H_S = 1e-6;
const winding = linearWinding({ r_ohm: p.r_ohm, ld_H: p.l_H, lq_H: p.l_H, magnet_Wb: TINY });
const drill = drillWith(merge(idealSupply(p.link_V), LOCKED, winding));

/** The plant in state 100 from its start; 110 is commanded for the next period. */
function started() {
  const plant = livePlant(drill, H_S);
  switchedOn(plant, 7, [1, 0, 0]);
  plant.command(7, 1, 1, 0);
  return plant;
}

/** Share of the final current that a step of the trapezoidal rule puts wrong over t_s of a decay, and the mean that leads. */
const trapezoid = (t_s: number) => (t_s * p.r_ohm ** 3 * H_S ** 2) / (12 * p.l_H ** 3);

describe('switch states', () => {
  it('drive the phase currents of the circuit', () => {
    const trace = new Trace(started(), phaseCurrents_A);
    const final_A = (2 * p.link_V) / (3 * p.r_ohm);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.ia_A[k], wave.ib_A[k], wave.ic_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], {
          abs: 4 * final_A * trapezoid(100e-6) + 1e-5,
          because:
            'trapezoidal rule of the plant; ngspice asks for 1e-6 of its largest current, 20 A; its edge of 10 ps is 5 uA',
        });
      });
    });
  });

  it('put the star point at a third and at two thirds of the link', () => {
    const plant = started();
    const why = 'ngspice takes the slope of an inductor from its last two steps, to 1e-6 of the voltage';
    for (const expected of [numbers.star100_V, numbers.star110_V]) {
      plant.runPeriod();
      const star = (plant.read('meanA') + plant.read('meanB') + plant.read('meanC')) / 3;
      expectNear(star, expected, { abs: 2e-5, because: why });
    }
  });

  it('put the published 14.54086 A into phase a', () => {
    const plant = started();
    plant.runPeriod();
    expectNear(plant.read('iAlpha'), numbers.ia_A, { abs: 1e-5, because: 'as for the wave' });
  });
});
