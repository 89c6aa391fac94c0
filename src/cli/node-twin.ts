/**
 * The twin of a run for the command line: beside it where the controller is built in, before it over a link, since a board
 * drives one motor at a time.
 */
import { SetUpError } from '../links/errors.ts';
import type { BenchOptions } from '../runner/core.ts';
import type { Coupled } from '../runner/coupled.ts';
import { play } from '../runner/play.ts';
import { PlayedTwin, RunningTwin, spoiledBy, type Twin, twinScenario } from '../runner/twin.ts';
import type { Scenario } from '../scenario/scenario.ts';
import type { ControllerChoice } from './controller-choice.ts';
import { couple } from './node-couple.ts';

/** --twin, --no-twin, or neither. */
export type TwinWish = boolean | undefined;

/** Whether a run has a twin: one with faults and a built-in controller unless it is not wanted, over a link when it is. */
export function hasTwin({ faults = [] }: Scenario, choice: ControllerChoice, wish: TwinWish): boolean {
  return faults.length > 0 && (wish ?? choice.kind === 'builtin');
}

/** Throws as couple() does, and SetUpError when the run is too long for a twin that is played before it. */
export async function twinOf(scenario: Scenario, choice: ControllerChoice, options: BenchOptions): Promise<Twin> {
  const plain = twinScenario(scenario);
  const tie = await couple(choice, options);
  if (choice.kind === 'builtin') return new RunningTwin(plain, tie.bench);
  try {
    return await playedTwin(scenario, plain, tie.bench);
  } finally {
    await tie.close();
  }
}

async function playedTwin(scenario: Scenario, plain: Scenario, bench: Coupled): Promise<Twin> {
  const twin = keeper(scenario, bench.plant.period_s);
  const { stateHash } = await play(plain, bench, {
    tick: (sample) => twin.keep(sample),
    progress: () => new Promise((next) => setImmediate(next)),
  });
  twin.end(stateHash, spoiledBy(bench));
  return twin;
}

function keeper(scenario: Scenario, tick_s: number): PlayedTwin {
  try {
    return new PlayedTwin(scenario, tick_s);
  } catch (error) {
    throw new SetUpError(`--twin: ${(error as Error).message}`);
  }
}
