/**
 * The same bits again: for any slicing of time, and from a snapshot at a random moment into another plant. Engines are
 * compared in other-engine.test.ts and tests/browser/same-bits.test.ts.
 */
import { describe, expect, it } from 'vitest';
import { Plant } from '../../src/plant/plant.ts';
import { act, randomPlant } from '../support/random-drill.ts';
import { seeded } from '../support/seeded.ts';

const DRILLS = 25;
const UPDATES = 200;

/** Drill number n, the same at every call. */
function drill(n: number): Plant {
  for (let seed = 1000 * n + 1; ; seed++) {
    const plant = randomPlant(seeded(seed), n);
    if (typeof plant === 'string') continue;
    plant.hands.set('trigger', 1);
    return plant;
  }
}

/** Plays updates `from` to UPDATES; every update draws from a generator of its own, whatever came before. */
function play(plant: Plant, n: number, from: number, run: (plant: Plant) => void): string {
  for (let k = from; k < UPDATES; k++) {
    act(plant, seeded(7919 * n + k));
    run(plant);
  }
  return plant.hash();
}

const whole = (plant: Plant): void => plant.runPeriod();

/** Runs one update in single steps, or some steps and then the rest. */
function inSlices(draw: () => number): (plant: Plant) => void {
  return (plant) => {
    const next = plant.tick + 1;
    const single = draw() < 0.5 ? Number.POSITIVE_INFINITY : Math.floor(60 * draw());
    for (let s = 0; s < single && plant.tick < next; s++) plant.step();
    if (plant.tick < next) plant.runPeriod();
  };
}

describe('25 random drills', () => {
  it('end at the same hash however time is cut', () => {
    for (let n = 0; n < DRILLS; n++) {
      const expected = play(drill(n), n, 0, whole);
      expect(play(drill(n), n, 0, inSlices(seeded(n + 1))), `drill ${n}`).toBe(expected);
    }
  });

  it('go on to the same hash from a snapshot at a random step, in the same plant and in another', () => {
    const draw = seeded(31);
    for (let n = 0; n < DRILLS; n++) {
      const plant = drill(n);
      const stop = Math.floor((UPDATES - 1) * draw());
      for (let k = 0; k < stop; k++) {
        act(plant, seeded(7919 * n + k));
        plant.runPeriod();
      }
      act(plant, seeded(7919 * n + stop));
      const steps = Math.floor(40 * draw());
      for (let s = 0; s < steps && plant.tick === stop; s++) plant.step();
      const kept = plant.snapshot();
      const from = plant.tick === stop ? stop + 1 : plant.tick;
      const rest = (one: Plant): string => {
        if (one.tick === stop) one.runPeriod();
        return play(one, n, from, whole);
      };
      const expected = rest(plant);
      plant.restore(kept);
      expect(rest(plant), `drill ${n}, the same plant`).toBe(expected);
      const other = new Plant(plant.params, { seed: 3, h_s: plant.h_s });
      other.restore(kept);
      expect(rest(other), `drill ${n}, another plant`).toBe(expected);
    }
  });
});
