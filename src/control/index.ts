/** Controllers that come with the bench, by name. Each call makes a new one that knows nothing of the run. */
import type { Controller } from '../protocol/controller.ts';
import { InOrder } from './in-order.ts';
import { Sensorless } from './sensorless/sensorless.ts';
import type { Build, MeasuredBuild } from './settings.ts';
import { hallSixStep } from './six-step.ts';

export type { Build, MeasuredBuild };

/** Throws RangeError when a build lacks what the controller must know. */
export const BUILT_IN: Readonly<Record<string, (build?: MeasuredBuild) => Controller>> = Object.freeze({
  'hall-six-step': (build) => new InOrder(hallSixStep({}, build)),
  sensorless: (build) => {
    if (!build?.facts)
      throw new RangeError('sensorless: the build has no motor facts; a commissioning run measures them');
    return new InOrder(new Sensorless(build.facts, build));
  },
});

/** Controllers that need the facts of a commissioning run. */
export const NEEDS_FACTS: readonly string[] = Object.freeze(['sensorless']);

/** Names of the built-in controllers, in the order in which they are shown. */
export function controllerNames(): readonly string[] {
  return Object.keys(BUILT_IN);
}
