/** What the page and a scenario name, looked up. Each throws RangeError that lists the known names. */
import { BUILT_IN, type Build, controllerNames } from '../src/control/index.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { PRESETS, presetNames } from '../src/plant/presets/index.ts';
import type { Controller } from '../src/protocol/controller.ts';

export const DRILL_NAMES = presetNames();
export const CONTROLLER_NAMES = controllerNames();

/** Parameters of a drill. */
export function drillNamed(name: string): DrillParams {
  const drill = PRESETS[name];
  if (!drill) throw new RangeError(`drill '${name}' is not known; known are ${DRILL_NAMES.join(', ')}`);
  return drill;
}

/** A fresh built-in controller. */
export function controllerNamed(name: string, build?: Build): Controller {
  const make = BUILT_IN[name];
  if (!make) throw new RangeError(`controller '${name}' is not known; known are ${CONTROLLER_NAMES.join(', ')}`);
  return make(build);
}
