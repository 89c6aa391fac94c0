/**
 * What the worker of the page does in a period beside the bench, as work to be timed: deeds, faults, the archive with every signal and
 * watch value, marks, a condition to freeze that never holds, a snapshot every 0.25 s, and what goes to the page.
 */
import { Course } from '../../worker/course.ts';
import { makeBench } from '../../worker/make-bench.ts';
import { Past } from '../../worker/past.ts';
import { Recorder } from '../../worker/recorder.ts';
import type { Work } from './measure.ts';

const SEED = 20;
const PERIODS = 400;
/** Periods before the measurement: up to speed in the air. */
const BEFORE = 6000;

export function pageWork(): { bench: Work; page: Work } {
  const made = makeBench('bench-18', 'hall-six-step', SEED);
  const { bench } = made;
  const past = new Past(new Course(made));
  const recorder = new Recorder();
  past.deed({ kind: 'hands', hands: { meets: 0, gear: 1, trigger: 0.6 } });
  past.freezeWhen({ kind: 'rises through', channel: 'motorSpeed', level: 1e6, pre_s: 1 });
  const period = () => {
    past.before();
    bench.tickOnce();
    past.after();
    recorder.note(bench.sample, bench.drive.watch[0], bench.plant.hands.meets, Number.NaN);
  };
  for (let k = 0; k < BEFORE; k++) period();
  const steps = Math.round((PERIODS * bench.plant.period_s) / bench.plant.h_s);
  const work = (run: () => void): Work => ({
    steps,
    begin: () => {},
    run: () => {
      for (let k = 0; k < PERIODS; k++) run();
    },
  });
  return {
    bench: work(() => {
      past.course.before();
      bench.tickOnce();
    }),
    page: work(period),
  };
}
