/** Plays a scenario for people to look at: how its checks stand while it runs, plots of what they look at, its outcome. */

import { webSocketWire } from '../src/links/web-socket.ts';
import type { Hello } from '../src/protocol/hello.ts';
import { limitLines, RunWatch } from '../src/report/watch.ts';
import { Bench } from '../src/runner/bench.ts';
import { benchOptions } from '../src/runner/bench-options.ts';
import { LockStepBench } from '../src/runner/lock-step.ts';
import { type Outcome, play } from '../src/runner/play.ts';
import { comparesWithTwin, RunningTwin, type Twin, twinScenario } from '../src/runner/twin.ts';
import type { Check } from '../src/scenario/check.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import { controllerNamed } from './named.ts';
import { admit, introduce } from './open-board.ts';
import { scenarioWith } from './otherwise.ts';
import type { Otherwise, Plot, RunEnded, RunStands } from './runs-api.ts';

/** Between two words on how it stands [ms]. */
const NEWS_MS = 200;

/** A run with all that a report of it takes. */
export interface Kept {
  readonly file: string;
  readonly scenario: Scenario;
  /** As the command line names it. */ readonly controller: string;
  readonly hello: Hello;
  readonly outcome: Outcome;
  readonly watch: RunWatch;
  readonly ended: RunEnded;
}

/** Rejects with the reason when it cannot begin: an unknown drill or controller, a board that is refused. */
export async function playFile(
  given: Scenario,
  file: string,
  otherwise: Otherwise,
  on: (stands: RunStands) => void,
): Promise<Kept> {
  const scenario = scenarioWith(given, otherwise);
  const options = benchOptions(scenario);
  const { drill, board } = options;
  const { address } = otherwise;
  if (address === undefined) {
    const fresh = () => new Bench({ ...options, controller: controllerNamed(scenario.controller, drill, board) });
    const twinned = comparesWithTwin(scenario) && (scenario.faults ?? []).length > 0;
    const twin = twinned ? new RunningTwin(twinScenario(scenario), fresh()) : undefined;
    return playOn(scenario, file, `builtin:${scenario.controller}`, fresh(), twin, on);
  }
  const opened = await admit(await introduce(await webSocketWire(address)), drill, board);
  if (!opened.ok) throw new Error(opened.lines.join(' '));
  try {
    const bench = new LockStepBench({ ...options, link: opened.link });
    return await playOn(scenario, file, address, bench, undefined, on);
  } finally {
    await opened.link.close();
  }
}

async function playOn(
  scenario: Scenario,
  file: string,
  controller: string,
  bench: Bench | LockStepBench,
  twin: Twin | undefined,
  on: (stands: RunStands) => void,
): Promise<Kept> {
  const signals = scenario.checks.flatMap(({ signal }) => (signal === undefined ? [] : [signal]));
  const watch = new RunWatch(signals, scenario.duration_s, bench.plant.period_s);
  const began_ms = performance.now();
  let told_ms = began_ms;
  let checks: readonly Check[] = [];
  const outcome = await play(scenario, bench, {
    twin,
    checks: (own) => {
      checks = own;
    },
    tick: (sample) => watch.see(sample, bench.plant.hands.get('direction')),
    progress: (share) => {
      const now_ms = performance.now();
      if (now_ms - told_ms < NEWS_MS) return;
      told_ms = now_ms;
      on({ share, checks: checks.map((check) => check.result('')) });
    },
  });
  watch.end();
  const wall_s = (performance.now() - began_ms) / 1000;
  const { verdict, why, coupling, virtual_s, lostTime_s, stateHash, faults } = outcome;
  const ended: RunEnded = {
    title: scenario.title,
    controller: coupling === 'in-process' ? scenario.controller : bench.hello.board,
    coupling,
    verdict,
    why,
    checks: outcome.checks,
    virtual_s,
    wall_s,
    lostTime_s,
    stateHash,
    faults,
    plots: plotsOf(watch, scenario, outcome),
  };
  return { file, scenario, controller, hello: bench.hello, outcome, watch, ended };
}

/** Limits of the checks of a run on their signals. */
export function limitsOf({ checks, duration_s }: Scenario, { faults }: Pick<Outcome, 'faults'>) {
  const began_s = (order: number) => faults.find((each) => each.order === order && each.what === 'begins')?.at_s;
  return limitLines(checks, duration_s, began_s);
}

function plotsOf({ traces }: RunWatch, scenario: Scenario, outcome: Outcome): Plot[] {
  const limits = limitsOf(scenario, outcome);
  return traces.channels.map((channel) => {
    const { id, title, unit } = channel;
    const pieces = traces.pieces(channel);
    const numbers = pieces.flatMap((piece, k) => [
      ...(k === 0 ? [] : [Number.NaN, Number.NaN, Number.NaN, Number.NaN]),
      ...piece.flatMap(({ at, least, greatest, mean }) => [at * scenario.duration_s, least, greatest, mean]),
    ]);
    return { id, title, unit, columns: Float32Array.from(numbers), limits: limits.get(id) ?? [] };
  });
}
