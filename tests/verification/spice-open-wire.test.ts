/**
 * A phase without current while two legs switch and the machine turns: a broken wire, whose end leaves the rails, and a leg
 * whose gates are off, whose diodes clip it. Against ngspice on the same two circuits.
 *
 * Source  tests/spice/open-wire.cir as solved by ngspice (results.json).
 */
import { describe, expect, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { deck } from '../spice/deck.ts';
import { circuit, phaseCurrents_A, spinning, starOf, switchedOn, Trace } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { merge } from '../support/rigs.ts';

const { params: p, wave } = deck('open-wire');
const H_S = 1e-6;

/** Legs a and b switch; c has a broken wire and a duty that nobody sees, or no gates. */
function started(cut: boolean): Plant {
  const plant = spinning(p, merge(circuit(p), starOf(p)), H_S);
  if (cut) plant.damage.set('legC', BROKEN.wireOpen);
  switchedOn(plant, cut ? 7 : 3, [p.duty_a, p.duty_b, 0.5]);
  return plant;
}

const current = {
  abs: 1.5e-4,
  because:
    'each gate edge of 10 ps at 18 V and 80 uH is 2.3 uA, and 32 of them add up over L/R = 0.4 ms to 70 uA; order 2 of 1 us to 50 A is as much',
};
const voltage = {
  abs: 5e-5,
  because: 'a gate edge of 10 ps at 18 V in a period is 4 uV; a diode that starts within a step of 1 us, 20 uV',
};

describe('phase c', () => {
  it('cut off leaves the currents of the circuit in a and b', () => {
    const trace = new Trace(started(true), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const [a, b, c] = trace.at(t_s);
      expectNear(a, wave.cut_a_A[k], current);
      expectNear(b, wave.cut_b_A[k], current);
      expectNear(c, 0, { abs: 1e-9, because: 'a multiplier holds it at zero, to rounding' });
    });
  });

  it('off shares the currents of the circuit, its diodes included', () => {
    expect(Math.max(...wave.off_c_A)).toBeGreaterThan(1);
    expect(Math.min(...wave.off_c_A)).toBeLessThan(-1);
    const trace = new Trace(started(false), phaseCurrents_A);
    wave.t_s.forEach((t_s, k) => {
      const expected = [wave.off_a_A[k], wave.off_b_A[k], wave.off_c_A[k]];
      trace.at(t_s).forEach((i_A, phase) => {
        expectNear(i_A, expected[phase], current);
      });
    });
  });

  it.each([
    ['cut off', true, wave.cut_c_V],
    ['off', false, wave.off_c_V],
  ])('%s has the mean voltage of the circuit in every period', (_, cut, expected) => {
    const plant = started(cut);
    for (const each of expected) {
      plant.runPeriod();
      expectNear(plant.read('meanC'), each, voltage);
    }
  });

  it('stands elsewhere with diodes than without', () => {
    const apart = wave.cut_c_V.map((v, k) => Math.abs(v - wave.off_c_V[k]));
    expect(Math.max(...apart)).toBeGreaterThan(0.1);
  });
});
