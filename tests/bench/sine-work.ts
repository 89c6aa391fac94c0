/**
 * The whole plant at its busiest: sinusoidal PWM on all three legs at speed, a hand on the chuck. Every period has twelve edges,
 * against four of a six-step drive, and each of them ends a stretch.
 *
 * The commands are taken once from the true angle, so that the plant alone is timed; nothing here is a controller.
 */
import { Plant } from '../../src/plant/plant.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import type { Work } from './measure.ts';

const STEP_S = 1e-6;
const PERIODS = 400;
/** Periods in which the amplitude rises, slowly enough for the protection of the pack. */
const RISE = 12_000;
const DEPTH = 0.42;
const THIRD = (2 * Math.PI) / 3;

export function sineWork(): Work {
  const plant = new Plant(PRESETS['bench-18'], { seed: 20, h_s: STEP_S });
  plant.hands.set('trigger', 1);
  plant.hands.set('grip', 1);
  while (!plant.powered) plant.runPeriod();

  const duties = (depth: number): readonly number[] => {
    const speed = plant.read('rotorSpeed');
    // Ahead of the magnet by a quarter, by one and a half periods of delay, and by what inductance takes at speed.
    const ahead = Math.PI / 2 + speed * (1.5 * plant.period_s * plant.params.winding.polePairs + 1e-4);
    const angle = Math.atan2(plant.read('sin'), plant.read('cos')) + ahead;
    return [0, THIRD, 2 * THIRD].map((turn) => 0.5 + depth * Math.cos(angle - turn));
  };
  for (let k = 0; k < RISE; k++) {
    const [a, b, c] = duties(Math.min(DEPTH, 0.02 + (DEPTH * k) / RISE));
    plant.command(7, a, b, c);
    plant.runPeriod();
  }
  if (!(plant.read('rotorSpeed') > 1000)) throw new Error(`the motor turns at ${plant.read('rotorSpeed')} rad/s only`);
  const start = plant.snapshot();
  const tape = new Float64Array(3 * PERIODS);
  for (let k = 0; k < PERIODS; k++) {
    tape.set(duties(DEPTH), 3 * k);
    plant.command(7, tape[3 * k], tape[3 * k + 1], tape[3 * k + 2]);
    plant.runPeriod();
  }
  return {
    steps: Math.round((PERIODS * plant.period_s) / STEP_S),
    begin: () => plant.restore(start),
    run: () => {
      for (let k = 0; k < 3 * PERIODS; k += 3) {
        plant.command(7, tape[k], tape[k + 1], tape[k + 2]);
        plant.runPeriod();
      }
    },
  };
}
