import { webSocketWire } from '../src/links/web-socket.ts';
import { Bench } from '../src/runner/bench.ts';
import { LockStepBench } from '../src/runner/lock-step.ts';
import { play } from '../src/runner/play.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import { boardFor } from '../src/sensing/board.ts';
import type { Played } from './api.ts';
import { controllerNamed, drillNamed } from './named.ts';
import { admit, introduce } from './open-board.ts';

/**
 * Plays a scenario as the command line does: with its built-in controller at full speed, or with a board in lock-step.
 *
 * @param scenario checked and in SI, as src/scenario reads it. Rejects with RangeError on an unknown drill or controller.
 * @param address of a board's WebSocket. Rejects with its words when the board is refused.
 */
export async function playScenario(scenario: Scenario, address?: string): Promise<Played> {
  const drill = drillNamed(scenario.drill);
  const board = boardFor(drill, scenario.shunts ? { shunts: scenario.shunts } : {});
  const options = { drill, board, seed: scenario.seed, h_s: scenario.step_s };
  if (address === undefined) {
    return outcome(scenario, new Bench({ ...options, controller: controllerNamed(scenario.controller, drill, board) }));
  }
  const opened = await admit(await introduce(await webSocketWire(address)), drill, board);
  if (!opened.ok) throw new Error(opened.lines.join(' '));
  try {
    return await outcome(scenario, new LockStepBench({ ...options, link: opened.link }));
  } finally {
    await opened.link.close();
  }
}

async function outcome(scenario: Scenario, bench: Bench | LockStepBench): Promise<Played> {
  const { verdict, why, stateHash } = await play(scenario, bench);
  return { verdict, why, stateHash, ticks: bench.plant.tick };
}
