/**
 * Five hundred drills that nobody designed, driven as nobody would: random parameters, duties, gates, gears, loads, hands
 * and damages, all from a seed.
 *
 * Source  conservation of energy; Kirchhoff's current law at the star point. Parameters stay within the bands of
 *         src/plant/params, which hold the ranges of the published parts named in the presets.
 */
import { describe, expect, it } from 'vitest';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { actAndRun, randomPlant } from '../support/random-drill.ts';
import { seeded } from '../support/seeded.ts';

const DRILLS = 500;
/** Virtual time of each: start, run, fault, run on [updates]. */
const UPDATES = 400;

describe('500 random drills', () => {
  it('stay finite, keep their books and make no joule', () => {
    const draw = seeded(77);
    const refused: string[] = [];
    const sample = new Float64Array(SIGNALS.length);
    const { currentA: A, currentB: B, currentC: C } = SIGNAL_INDEX;
    let star = 0;
    let worst = 0;
    let ran = 0;
    for (let n = 0; ran < DRILLS; n++) {
      const plant = randomPlant(draw, n);
      if (typeof plant === 'string') {
        refused.push(plant);
        continue;
      }
      ran++;
      plant.hands.set('trigger', 1);
      for (let k = 0; k < UPDATES; k++) {
        actAndRun(plant, draw);
        expect(plant.fault, `drill ${n}`).toBe('');
        plant.observe(sample);
        const largest = Math.max(Math.abs(sample[A]), Math.abs(sample[B]), Math.abs(sample[C]));
        // Three roundings of numbers no larger than the largest.
        star = Math.max(star, Math.abs(sample[A] + sample[B] + sample[C]) / Math.max(largest, 1));
      }
      const { share, passed_J, accounts } = plant.energy();
      worst = Math.max(worst, Math.abs(share));
      // Below a joule the throughput is charging the link alone: the residual is then held against a joule.
      const why = `drill ${n}: ${share} of ${passed_J} J, ${JSON.stringify(accounts)}`;
      expect(Math.abs(share) * passed_J, why).toBeLessThan(1e-6 * Math.max(1, passed_J));
      for (const [name, value] of Object.entries(accounts)) {
        // What is stored may fall, and a hand that grips firmer does work; everything else can only take.
        if (name === 'growth of what is stored' || name === 'hand and arm') continue;
        expect(value, `drill ${n}: ${name}`).toBeGreaterThan(-1e-6 * Math.max(1, passed_J));
      }
    }
    console.log(
      `${ran} drills, ${refused.length} draws refused when made, largest share of energy astray ${worst.toExponential(1)}`,
    );
    expect(star, 'sum of the currents into the star point, over the largest').toBeLessThan(1e-15 * 4);
    // Mostly saturation that would turn the d axis around, and cell voltages above the switches.
    expect(refused.length).toBeLessThan(3 * DRILLS);
  });
});
