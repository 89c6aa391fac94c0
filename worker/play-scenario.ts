import { webSocketWire } from '../src/links/web-socket.ts';
import { Bench } from '../src/runner/bench.ts';
import { benchOptions } from '../src/runner/bench-options.ts';
import { LockStepBench } from '../src/runner/lock-step.ts';
import { play } from '../src/runner/play.ts';
import { comparesWithTwin, RunningTwin, type Twin, twinScenario } from '../src/runner/twin.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import type { Played } from './api.ts';
import { controllerNamed } from './named.ts';
import { admit, introduce } from './open-board.ts';

/**
 * Plays a scenario as the command line does: with its built-in controller at full speed, or with a board in lock-step.
 *
 * @param scenario checked and in SI, as src/scenario reads it. Rejects with RangeError on an unknown drill or controller.
 * @param address of a board's WebSocket; a board has one motor, so that what is compared with a twin is not evaluated there. Rejects with its words when the board is refused.
 */
export async function playScenario(scenario: Scenario, address?: string): Promise<Played> {
  const options = benchOptions(scenario);
  const { drill, board } = options;
  if (address === undefined) {
    const fresh = () => new Bench({ ...options, controller: controllerNamed(scenario.controller, drill, board) });
    const compared = comparesWithTwin(scenario) && (scenario.faults ?? []).length > 0;
    return outcome(scenario, fresh(), compared ? new RunningTwin(twinScenario(scenario), fresh()) : undefined);
  }
  const opened = await admit(await introduce(await webSocketWire(address)), drill, board);
  if (!opened.ok) throw new Error(opened.lines.join(' '));
  try {
    return await outcome(scenario, new LockStepBench({ ...options, link: opened.link }));
  } finally {
    await opened.link.close();
  }
}

async function outcome(scenario: Scenario, bench: Bench | LockStepBench, twin?: Twin): Promise<Played> {
  const { verdict, why, stateHash } = await play(scenario, bench, { twin });
  return { verdict, why, stateHash, ticks: bench.plant.tick };
}
