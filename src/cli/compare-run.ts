/** One side of a comparison: a controller is tied to a fresh bench, plays the scenario, and leaves figures and traces. */
import { performance } from 'node:perf_hooks';
import { benchOptions } from '../runner/bench-options.ts';
import type { Figure } from '../runner/figures/figure.ts';
import { RunFigures } from '../runner/figures/run-figures.ts';
import { type Outcome, play } from '../runner/play.ts';
import { comparesWithTwin } from '../runner/twin.ts';
import type { Scenario } from '../scenario/scenario.ts';
import { Traces } from './compare-traces.ts';
import { type ControllerChoice, choiceText } from './controller-choice.ts';
import { couple } from './node-couple.ts';
import { hasTwin, twinOf } from './node-twin.ts';
import { progressFor } from './progress.ts';
import { runReport } from './report-json.ts';
import type { RunFacts } from './run-facts.ts';

export interface Side {
  readonly facts: RunFacts;
  readonly outcome: Outcome;
  readonly wall_s: number;
  readonly figures: readonly Figure[];
  readonly collected: RunFigures;
  readonly traces: Traces;
}

/**
 * Plays to the end, whatever ends it, and leaves no process behind.
 *
 * Throws SetUpError when the controller cannot be reached or does not fit, LinkLostError when it is lost before its Hello.
 *
 * @param letter A or B, for the progress
 */
export async function playSide(
  file: string,
  scenario: Scenario,
  choice: ControllerChoice,
  letter: string,
): Promise<Side> {
  const options = benchOptions(scenario);
  const { drill, board } = options;
  const twin =
    comparesWithTwin(scenario) && hasTwin(scenario, choice, true) ? await twinOf(scenario, choice, options) : undefined;
  const tie = await couple(choice, options);
  const { bench } = tie;
  const collected = new RunFigures(bench, drill);
  const traces = new Traces(Math.max(1, Math.round(scenario.duration_s / bench.plant.period_s)));
  const progress = progressFor(`${letter}, ${choiceText(choice)}`, process.stderr);
  try {
    const began_ms = performance.now();
    const outcome = await play(scenario, bench, {
      twin,
      tick: (sample) => {
        collected.see(sample);
        traces.see(sample, collected.angle.now_rad);
      },
      progress: (share) => {
        progress.show(share);
        return new Promise((next) => setImmediate(next)); // lets signals and sockets have their turn
      },
    });
    const wall_s = (performance.now() - began_ms) / 1000;
    const { hello } = bench;
    const facts = { file, scenario, controller: choiceText(choice), hello, board, wall_s, link: tie.link?.counters };
    return { facts, outcome, wall_s, figures: collected.list(outcome), collected, traces };
  } finally {
    progress.end();
    await tie.close();
  }
}

/** All that is known of a side, for machines: the report of a run, and beside it what only a comparison collects. */
export function sideReport({ facts, outcome, figures, collected }: Side): object {
  return {
    ...runReport(facts, outcome),
    figures,
    starts: collected.starts.list(),
    trips: collected.trips.list,
  };
}
