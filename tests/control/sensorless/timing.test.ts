/**
 * When a command acts: given at update k it stands from k + 1 to k + 2, so the current of k + 2 is the first to answer.
 *
 * Source  timing of a board with one update a period: Bae, Sul, IEEE Trans. Ind. Appl. 39(3), 2003 (bibliography read). Slope of the
 *         current: V T / L by hand.
 */
import { describe, it } from 'vitest';
import { Modulator } from '../../../src/control/sensorless/modulator.ts';
import { expectNear } from '../../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, TINY } from '../../support/rigs.ts';
import { EngineMotor } from './engine-motor.ts';
import { PLAIN, TICK_S, windingOf } from './motor-d.ts';

const VOLT = 4;
const STEP_A = (VOLT * TICK_S) / PLAIN.ld_H;

/** Current along d after each period, with one pulse commanded at the third update. */
function answers(run: (volt_V: number) => number): number[] {
  return Array.from({ length: 7 }, (_, n) => run(n === 2 ? VOLT : 0));
}

const EXPECTED = [0, 0, 0, STEP_A, STEP_A, STEP_A, STEP_A];

describe('a pulse commanded at one update', () => {
  it('moves the current of the plant in the period after the next update', () => {
    const winding = { ...windingOf(PLAIN), r_ohm: TINY };
    const plant = livePlant(drillWith(merge(idealSupply(18), LOCKED, linearWinding(winding))), 1e-6, 0);
    const modulator = new Modulator();
    const seen = answers((volt_V) => {
      modulator.make(volt_V, 0, 18, 0, 0, 0, 1);
      const [a, b, c] = modulator.duty;
      plant.command(7, a, b, c);
      plant.runPeriod();
      return plant.read('iAlpha');
    });
    // The command of one update is taken over at the end of the period that runs.
    seen.forEach((i, n) => {
      expectNear(i, EXPECTED[n], { abs: 1e-6, because: 'volt-seconds over inductance, no resistance: rounding' });
    });
  });

  it('moves that of the test motor alike', () => {
    const motor = new EngineMotor({ ...PLAIN, r_ohm: TINY }, 0);
    const seen = answers((volt_V) => {
      motor.command(volt_V, 0);
      motor.runPeriod();
      return motor.alpha_A;
    });
    seen.forEach((i, n) => {
      expectNear(i, EXPECTED[n], { abs: 1e-6, because: 'volt-seconds over inductance, no resistance: rounding' });
    });
  });
});
