/** The starter on the short scenario, through whatever link: what a run ends with. */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';
import { linkPlace, openLink } from '../../src/links/node-kinds.ts';
import { PRESETS } from '../../src/plant/presets/index.ts';
import { misfits } from '../../src/runner/fit.ts';
import { LockStepBench } from '../../src/runner/lock-step.ts';
import { type Outcome, play } from '../../src/runner/play.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import { boardFor } from '../../src/sensing/board.ts';

export const SHORT = 'scenarios/seat-screw-short.yaml';

export interface Run extends Outcome {
  /** Answers of the board. */ readonly answered: number;
  readonly board: string;
  readonly wall_s: number;
}

/** Plays the short scenario with the board behind a link, e.g. tcp:127.0.0.1:5301. Throws Error when it never begins. */
export async function runShort(controller: string): Promise<Run> {
  const loaded = loadScenario(readFileSync(SHORT, 'utf8'), SHORT);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  const { scenario } = loaded;
  const drill = PRESETS[scenario.drill];
  const place = linkPlace(controller);
  if (!place) throw new Error(`${controller}: no kind of link`);
  // Far longer than a board takes: a busy machine is no fault of it.
  const link = await openLink(place, { hello_s: 30, answer_s: 30 });
  try {
    const board = boardFor(drill, {});
    expect(misfits(link.hello, board, drill)).toEqual([]);
    const bench = new LockStepBench({ drill, board, seed: scenario.seed, h_s: scenario.step_s, link });
    const began_ms = performance.now();
    const outcome = await play(scenario, bench, { progress: () => new Promise((next) => setImmediate(next)) });
    const wall_s = (performance.now() - began_ms) / 1000;
    return { ...outcome, answered: link.counters.answered, board: link.hello.board, wall_s };
  } finally {
    await link.close();
  }
}
