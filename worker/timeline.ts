import type { Plant } from '../src/plant/plant.ts';
import type { Hands, HashResult, HashSpec } from './api.ts';
import { makeBench } from './make-bench.ts';

/** Sets what is given of the hands. Throws RangeError with name, value and range. */
export function setHands(plant: Plant, hands: Hands): void {
  const { direction, gear, meets, grip_Nm, trigger } = hands;
  if (direction !== undefined) plant.hands.set('direction', direction);
  if (gear !== undefined) plant.hands.set('gear', gear);
  if (meets !== undefined) plant.hands.set('meets', meets);
  if (grip_Nm !== undefined) plant.hands.set('grip', grip_Nm);
  if (trigger !== undefined) plant.hands.set('trigger', trigger);
}

/**
 * Runs a timeline headless at full speed and hashes the plant vector at its end. Hands move at the first PWM period
 * that begins at or after their time. Throws RangeError on unknown names or a span outside 0 to 600 s.
 */
export function hashRun(spec: HashSpec): HashResult {
  if (!(spec.span_s > 0 && spec.span_s <= 600)) {
    throw new RangeError(`span_s is ${spec.span_s} s; allowed is above 0 and at most 600 s`);
  }
  const { bench } = makeBench(spec.drill, spec.controller, spec.seed);
  const todo = [...spec.timeline].sort((p, q) => p.at_s - q.at_s);
  const ticks = Math.round(spec.span_s / bench.plant.period_s);
  let next = 0;
  for (let k = 0; k < ticks; k++) {
    // Half a period of slack, so that a time on the grid is not missed for a rounding error.
    while (next < todo.length && todo[next].at_s < (k + 0.5) * bench.plant.period_s)
      setHands(bench.plant, todo[next++].hands);
    bench.tickOnce();
  }
  return { hash: bench.plant.hash(), ticks: bench.plant.tick };
}
