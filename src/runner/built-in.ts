/** A built-in controller for a drill and its board: the build that fits, and what commissioning has measured where it is needed. */
import { BUILT_IN, controllerNames, NEEDS_FACTS } from '../control/index.ts';
import type { DrillParams } from '../plant/params.ts';
import type { Controller } from '../protocol/controller.ts';
import type { BoardParams } from '../sensing/board.ts';
import { buildFor } from './build.ts';
import { commissioned } from './commission.ts';

/**
 * A fresh controller. Throws RangeError on an unknown name, and Error with the reason when commissioning gives the motor up.
 * The first call for a drill plays the commissioning run: some 1.4 s of virtual time.
 */
export function builtInFor(name: string, drill: DrillParams, board: BoardParams): Controller {
  const make = BUILT_IN[name];
  if (!make) throw new RangeError(`controller '${name}' is not known; known are ${controllerNames().join(', ')}`);
  const build = buildFor(drill, board);
  return make(NEEDS_FACTS.includes(name) ? { ...build, facts: commissioned(drill).facts } : build);
}
