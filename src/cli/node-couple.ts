/** Ties the chosen controller to a bench: in process, or over a link in lock-step. */
import { BUILT_IN } from '../control/index.ts';
import { Bench } from '../runner/bench.ts';
import type { BenchOptions } from '../runner/core.ts';
import type { Coupled } from '../runner/coupled.ts';
import { misfits } from '../runner/fit.ts';
import { type ControllerChoice, choiceText } from './controller-choice.ts';
import { SetUpError } from './exit.ts';

export interface Coupling {
  readonly bench: Coupled;
  /** Ends the link and the process behind it. */ readonly close: () => Promise<void>;
}

/** Throws SetUpError when the controller cannot be reached or does not fit the board. */
export async function couple(choice: ControllerChoice, options: BenchOptions): Promise<Coupling> {
  if (choice.kind === 'builtin') {
    const controller = BUILT_IN[choice.name]();
    refuseMisfit(choice, misfits(controller.hello, options.board, options.drill));
    return { bench: new Bench({ ...options, controller }), close: async () => {} };
  }
  throw new SetUpError(['not yet']);
}

function refuseMisfit(choice: ControllerChoice, found: readonly string[]): void {
  if (found.length === 0) return;
  throw new SetUpError(found.map((text) => `controller ${choiceText(choice)} does not fit the board: ${text}`));
}
