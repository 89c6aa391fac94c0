import { Bench } from '../src/runner/bench.ts';
import { play } from '../src/runner/play.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { Played } from './api.ts';
import { controllerNamed, drillNamed } from './named.ts';

/**
 * Plays a scenario with its built-in controller at full speed, as the command line does.
 *
 * @param scenario checked and in SI, as src/scenario reads it. Throws RangeError on an unknown drill or controller.
 */
export async function playScenario(scenario: Scenario): Promise<Played> {
  const drill = drillNamed(scenario.drill);
  const board = boardFor(drill, scenario.shunts ? { shunts: scenario.shunts } : {});
  const controller = controllerNamed(scenario.controller, drill, board);
  const bench = new Bench({ drill, board, seed: scenario.seed, h_s: scenario.step_s, controller });
  const { verdict, stateHash } = await play(scenario, bench);
  return { verdict, stateHash, ticks: bench.plant.tick };
}
