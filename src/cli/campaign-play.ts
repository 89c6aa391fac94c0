/** Plays one run of a campaign: the text of its scenario in, its result out. Workers and the command line both use it. */
import { performance } from 'node:perf_hooks';
import type { Played, PlayedIn } from '../campaign/conduct.ts';
import { notPlayed, playedOf } from '../campaign/played.ts';
import { refusal } from '../campaign/trial.ts';
import { LinkLostError, SetUpError } from '../links/errors.ts';
import { lineFigures } from '../links/line-figures.ts';
import { benchOptions } from '../runner/bench-options.ts';
import { type Outcome, play } from '../runner/play.ts';
import { comparesWithTwin } from '../runner/twin.ts';
import { loadScenario } from '../scenario/load.ts';
import { choiceText, controllerChoice } from './controller-choice.ts';
import { couple } from './node-couple.ts';
import { hasTwin, twinOf } from './node-twin.ts';
import type { RunFacts } from './run-facts.ts';

/** What all runs of a campaign share. */
export interface PlaySetting {
  /** Scenario file, for messages. */ readonly file: string;
  /** Controller of the command line, undefined for that of the scenario. */ readonly controller: string | undefined;
}

export interface PlayedRun extends PlayedIn {
  /** What reports are made from; undefined when it did not come to a run. */
  readonly run?: { readonly facts: RunFacts; readonly outcome: Outcome };
}

/** Plays to the end. A scenario or a controller that is refused is a result too; it rejects on defects alone. */
export async function playText(text: string, { file, controller }: PlaySetting): Promise<PlayedRun> {
  const began_ms = performance.now();
  const ended = (verdict: Played['verdict'], why: string): PlayedRun => ({
    played: notPlayed(verdict, why),
    wall_s: (performance.now() - began_ms) / 1000,
  });
  const loaded = loadScenario(text, file);
  if (!loaded.ok) return ended('set-up error', refusal(loaded));
  const { scenario } = loaded;
  const choice =
    controller === undefined ? { kind: 'builtin', what: scenario.controller } : controllerChoice(controller);
  try {
    const options = benchOptions(scenario);
    const twin =
      comparesWithTwin(scenario) && hasTwin(scenario, choice, true)
        ? await twinOf(scenario, choice, options)
        : undefined;
    const tie = await couple(choice, options);
    let outcome: Outcome;
    try {
      outcome = await play(scenario, tie.bench, { twin });
    } finally {
      await tie.close();
    }
    const { hello } = tie.bench;
    const wall_s = (performance.now() - began_ms) / 1000;
    const link = tie.link?.counters;
    const line = lineFigures(tie.link);
    const { board } = options;
    const facts: RunFacts = { file, scenario, controller: choiceText(choice), hello, board, wall_s, link, line };
    return { played: playedOf(outcome, hello), wall_s, run: { facts, outcome } };
  } catch (error) {
    if (error instanceof LinkLostError) return ended('controller lost', error.message);
    if (error instanceof SetUpError || error instanceof RangeError) return ended('set-up error', error.message);
    throw error;
  }
}
