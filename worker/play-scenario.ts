import { BUILT_IN, controllerNames } from '../src/control/index.ts';
import { PRESETS, presetNames } from '../src/plant/presets/index.ts';
import { Bench } from '../src/runner/bench.ts';
import { play } from '../src/runner/play.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import { BENCH_BOARD, boardParams } from '../src/sensing/board.ts';
import type { Played } from './api.ts';

/**
 * Plays a scenario with its built-in controller at full speed, as the command line does.
 *
 * @param scenario checked and in SI, as src/scenario reads it. Throws RangeError on an unknown drill or controller.
 */
export async function playScenario(scenario: Scenario): Promise<Played> {
  const drill = PRESETS[scenario.drill];
  if (!drill) throw new RangeError(`drill '${scenario.drill}' is not known; known are ${presetNames().join(', ')}`);
  const make = BUILT_IN[scenario.controller];
  if (!make) {
    throw new RangeError(`controller '${scenario.controller}' is not known; known are ${controllerNames().join(', ')}`);
  }
  const board = scenario.shunts ? boardParams({ ...BENCH_BOARD, shunts: scenario.shunts }) : BENCH_BOARD;
  const bench = new Bench({ drill, board, seed: scenario.seed, h_s: scenario.step_s, controller: make() });
  const { verdict, stateHash } = await play(scenario, bench);
  return { verdict, stateHash, ticks: bench.plant.tick };
}
