/**
 * The whole plant as work to be timed: 20 ms of the drill at 60 % trigger in the low gear while a hand grips the chuck,
 * seeded, from one snapshot. With the controller it is live; alone, the plant gets the commands that the controller
 * gave in that same stretch, so both do the same switching.
 */
import { BUILT_IN } from '../../src/control/index.ts';
import { Plant } from '../../src/plant/plant.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { DUTY_FULL } from '../../src/protocol/frames.ts';
import { BENCH_BOARD } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import type { Work } from './measure.ts';

const SEED = 20;
const STEP_S = 1e-6;
/** Periods of a batch: 6.4 ms of offset calibration, then the motor is picked up again under load. */
const PERIODS = 400;
/** Virtual time before the snapshot [s]: up to speed, hand on the chuck. */
const BEFORE_S = 0.15;

export function plantWork(): { alone: Work; controlled: Work; virtual_s: number } {
  const plant = new Plant(PRESETS['bench-18'], { seed: SEED, h_s: STEP_S });
  const sensors = new Sensors(BENCH_BOARD);
  const sense = blankSense();
  let controller = BUILT_IN['hall-six-step']();
  const drive = blankDrive(controller.hello.watch.length);
  plant.hands.set('gear', 1);
  plant.hands.set('trigger', 0.6); // deeper in its first frame, the controller would wait for a release
  plant.hands.set('grip', 5);

  const period = (boot: boolean) => {
    sensors.sample(plant, sense, boot);
    controller.tick(sense, drive);
    plant.command(drive.gates, drive.dutyA / DUTY_FULL, drive.dutyB / DUTY_FULL, drive.dutyC / DUTY_FULL);
    plant.runPeriod();
  };
  while (!plant.powered) plant.runPeriod();
  for (let k = 0; k < BEFORE_S / plant.period_s; k++) period(k === 0);
  const start = plant.snapshot();

  // One recorded stretch: gates and duties of every period.
  const tape = new Float64Array(4 * PERIODS);
  const begin = () => {
    plant.restore(start);
    controller = BUILT_IN['hall-six-step']();
  };
  begin();
  for (let k = 0; k < PERIODS; k++) {
    period(k === 0);
    tape.set([drive.gates, drive.dutyA / DUTY_FULL, drive.dutyB / DUTY_FULL, drive.dutyC / DUTY_FULL], 4 * k);
  }

  const steps = Math.round((PERIODS * plant.period_s) / STEP_S);
  const controlled: Work = {
    steps,
    begin,
    run: () => {
      for (let k = 0; k < PERIODS; k++) period(k === 0);
    },
  };
  const alone: Work = {
    steps,
    begin,
    run: () => {
      for (let k = 0; k < 4 * PERIODS; k += 4) {
        plant.command(tape[k], tape[k + 1], tape[k + 2], tape[k + 3]);
        plant.runPeriod();
      }
    },
  };
  return { alone, controlled, virtual_s: PERIODS * plant.period_s };
}
