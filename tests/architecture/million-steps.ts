/**
 * Program of allocation.test.ts: steps plant, sensors and controller and prints, as one line of JSON, what stayed on the
 * heap and what passed through it; then the same for a run that keeps one small object per step. Needs --expose-gc.
 */
import { PlantRig } from '../control/plant-rig.ts';

const steps = Number(process.argv[2]);
const collect = (globalThis as { gc?: () => void }).gc;
if (!collect) throw new Error('million-steps needs node --expose-gc');
const used = (): number => process.memoryUsage().heapUsed;

/** Heap growth of a piece of work: before and after a collection. */
function measure(work: () => void): { passing_bytes: number; kept_bytes: number } {
  collect!();
  const before = used();
  work();
  const passing_bytes = used() - before;
  collect!();
  return { passing_bytes, kept_bytes: used() - before };
}

const rig = new PlantRig(1);
rig.pull(1);
const periods = Math.ceil((steps * rig.plant.h_s) / rig.plant.period_s);
const run = () => {
  for (let k = 0; k < periods; k++) rig.tick();
};
run(); // warm-up: everything is compiled afterwards
const plant = measure(run);

const kept: object[] = [];
const keeper = measure(() => {
  for (let k = 0; k < steps; k++) kept.push({ k });
});
console.log(JSON.stringify({ steps: kept.length, plant, keeper }));
