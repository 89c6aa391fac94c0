/** Lets the engine compile what a bench and its past run before time counts. */
import { Course } from './course.ts';
import { makeBench } from './make-bench.ts';
import { Past } from './past.ts';
import { Recorder } from './recorder.ts';

/** Trigger and periods of a bench that is thrown away. All that a hand does comes early, so that no path is new to compiled code. */
const EARLY: readonly (readonly [number, number])[] = [
  [0, 50],
  [0.16, 50],
  [0.4, 50],
  [0, 50],
];
const ROUNDS = 3;
/** Then long enough to be compiled: a drive, and rest. */
const LATE: readonly (readonly [number, number])[] = [
  [0.3, 1000],
  [0, 200],
];

export function warmUp(drill: string, controller: string): void {
  neverWhole();
  makeBench(drill, controller, 0); // compiled for one bench alone, code would not serve the next
  const made = makeBench(drill, controller, 0);
  const past = new Past(new Course(made));
  const recorder = new Recorder();
  const squeeze = ([trigger, periods]: (typeof EARLY)[number]): void => {
    past.deed({ kind: 'hands', hands: { meets: 1, trigger } });
    for (let k = 0; k < periods; k++) {
      past.before();
      made.bench.tickOnce();
      past.after();
      recorder.note(made.bench.sample, 0, 'screw', 0);
    }
  };
  for (let round = 0; round < ROUNDS; round++) EARLY.forEach(squeeze);
  LATE.forEach(squeeze);
}

/**
 * Until a first buffer is given away, engines compile typed arrays as if none ever were; the first block that goes to the page would
 * then throw all code away (seen with V8 of Chromium 143 and --trace-deopt: 'dependent property cell changed' in every function).
 */
function neverWhole(): void {
  const buffer = new ArrayBuffer(8);
  structuredClone(buffer, { transfer: [buffer] });
}
