/** A short run with switching, a screw, a drill bit, shorted turns, a broken wire and coasting; bundled for another engine by other-engine.test.ts. */
import { BROKEN } from '../../src/plant/damage.ts';
import { LOADS } from '../../src/plant/load/index.ts';
import { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';

/** Updates of the run. */
const UPDATES = 500;
const HIGH = [0, 1, 2, 1, 0, 0, 2];
const LOW = [0, 2, 0, 0, 1, 2, 1];

/** State hash at the end of the run. */
export function stretchHash(): string {
  const plant = new Plant(BENCH_18, { seed: 5, h_s: 1e-6 });
  plant.hands.set('trigger', 1);
  plant.hands.set('clutch', 1);
  plant.hands.set('meets', LOADS.indexOf('screw'));
  for (let k = 0; k < UPDATES; k++) {
    const code = plant.read('hall');
    const duty = [0, 0, 0];
    duty[HIGH[code]] = k < 400 ? 0.5 : 0;
    const gates = k < 300 ? 7 : k < 450 ? (1 << HIGH[code]) | (1 << LOW[code]) : 0;
    if (k === 200) plant.hands.set('meets', LOADS.indexOf('steel'));
    if (k === 260) plant.damage.set('turnsShorted', 0.1);
    if (k === 380) plant.damage.set('legA', BROKEN.wireOpen);
    plant.command(gates, duty[0], duty[1], duty[2]);
    plant.runPeriod();
  }
  return plant.hash();
}
