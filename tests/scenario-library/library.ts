/** The scenarios of this repository: where they are, and how one is played with a controller. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Controller } from '../../src/protocol/controller.ts';
import { Bench } from '../../src/runner/bench.ts';
import { benchOptions } from '../../src/runner/bench-options.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { type Outcome, play } from '../../src/runner/play.ts';
import { comparesWithTwin, RunningTwin, twinScenario } from '../../src/runner/twin.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { problemText } from '../../src/scenario/source.ts';

export const ROOT = 'scenarios';
/** Files of campaigns and the scenarios that only a campaign varies. */
const CAMPAIGNS = 'campaigns';

/** Every scenario, as its path below ROOT, in the order of the alphabet. */
export function libraryFiles(): string[] {
  return readdirSync(ROOT, { recursive: true, encoding: 'utf8' })
    .map((name) => name.replaceAll('\\', '/'))
    .filter((name) => name.endsWith('.yaml') && !name.startsWith(`${CAMPAIGNS}/`))
    .sort();
}

/** Throws Error with every problem of the file. */
export function scenarioOf(name: string): Scenario {
  const file = join(ROOT, name);
  const loaded = loadScenario(readFileSync(file, 'utf8'), file);
  if (!loaded.ok) throw new Error(loaded.problems.map(problemText).join('\n'));
  return loaded.scenario;
}

/** Makes something of the built-in controller before it drives. */
export type Spoil = (controller: Controller) => Controller;

/** Plays it as the command line does, with the named controller or what `spoil` makes of it. */
export function playWith(scenario: Scenario, controller: string, spoil?: Spoil): Promise<Outcome> {
  const twin = comparesWithTwin(scenario) ? new RunningTwin(twinScenario(scenario), benchOf(scenario)) : undefined;
  return play(scenario, benchOf(scenario), { twin });

  function benchOf(of: Scenario): Bench {
    const options = benchOptions(of);
    const sound = builtInFor(controller, options.drill, options.board);
    return new Bench({ ...options, controller: spoil ? spoil(sound) : sound });
  }
}

/** What a file did, as tests/scenario-library/main.ts tells it. */
export interface Played {
  readonly file: string;
  readonly runs: readonly {
    readonly controller: string;
    readonly verdict: string;
    readonly why: string;
    readonly energyResidual: number;
    readonly cell: string;
  }[];
}
