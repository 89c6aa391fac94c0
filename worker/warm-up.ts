/** Lets the engine compile what a bench runs before time counts. */
import { makeBench } from './make-bench.ts';
import { setHands } from './set-hands.ts';

/** Periods of a bench that is thrown away: 150 ms of a drill. */
const PERIODS = 3000;

export function warmUp(drill: string, controller: string): void {
  const { bench } = makeBench(drill, controller, 0);
  setHands(bench.plant, { meets: 1, trigger: 0.5 });
  for (let k = 0; k < PERIODS; k++) void bench.tickOnce();
}
