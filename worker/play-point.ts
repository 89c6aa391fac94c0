/** Plays one run of a campaign in a worker of the page: the same result as on the command line, bit by bit. */
import type { Played, PlayedIn } from '../src/campaign/conduct.ts';
import { notPlayed, playedOf } from '../src/campaign/played.ts';
import { refusal } from '../src/campaign/trial.ts';
import { Bench } from '../src/runner/bench.ts';
import { benchOptions } from '../src/runner/bench-options.ts';
import { misfits } from '../src/runner/fit.ts';
import { play } from '../src/runner/play.ts';
import { comparesWithTwin, RunningTwin, twinScenario } from '../src/runner/twin.ts';
import { loadScenario } from '../src/scenario/load.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import { controllerNamed } from './named.ts';

/** Plays to the end. A scenario or a controller that is refused is a result too; it rejects on defects alone. */
export async function playPoint(text: string, file: string): Promise<PlayedIn> {
  const began_ms = performance.now();
  const ended = (played: Played): PlayedIn => ({ played, wall_s: (performance.now() - began_ms) / 1000 });
  const loaded = loadScenario(text, file);
  if (!loaded.ok) return ended(notPlayed('set-up error', refusal(loaded)));
  try {
    return ended(await playLoaded(loaded.scenario));
  } catch (error) {
    if (error instanceof RangeError || error instanceof Refused) return ended(notPlayed('set-up error', error.message));
    throw error;
  }
}

/** The controller does not go with the drill: nothing has run. */
class Refused extends Error {}

async function playLoaded(scenario: Scenario): Promise<Played> {
  const options = benchOptions(scenario);
  const { drill, board } = options;
  const fresh = () => {
    const controller = made(scenario.controller, options);
    const found = misfits(controller.hello, board, drill);
    const lines = found.map((why) => `controller builtin:${scenario.controller} does not fit the board: ${why}`);
    if (lines.length > 0) throw new Refused(lines.join('\n'));
    return new Bench({ ...options, controller });
  };
  const twinned = comparesWithTwin(scenario) && (scenario.faults ?? []).length > 0;
  const twin = twinned ? new RunningTwin(twinScenario(scenario), fresh()) : undefined;
  const bench = fresh();
  const outcome = await play(scenario, bench, { twin });
  return playedOf(outcome, bench.hello);
}

/** A motor that cannot be commissioned is a set-up error. */
function made(name: string, { drill, board }: ReturnType<typeof benchOptions>) {
  try {
    return controllerNamed(name, drill, board);
  } catch (error) {
    throw new Refused(`${name}: ${(error as Error).message}`);
  }
}
