/** Controllers that come with the bench, by name. Each call makes a new one that knows nothing. */
import type { Controller } from '../protocol/controller.ts';
import type { Build } from './settings.ts';
import { hallSixStep } from './six-step.ts';

export type { Build };

export const BUILT_IN: Readonly<Record<string, (build?: Build) => Controller>> = Object.freeze({
  'hall-six-step': (build) => hallSixStep({}, build),
});

/** Names of the built-in controllers, in the order in which they are shown. */
export function controllerNames(): readonly string[] {
  return Object.keys(BUILT_IN);
}
