/** What the page and a scenario name, looked up. Each throws RangeError that lists the known names. */
import { controllerNames } from '../src/control/index.ts';
import type { DrillParams } from '../src/plant/params.ts';
import { PRESETS, presetNames } from '../src/plant/presets/index.ts';
import { builtInFor } from '../src/runner/built-in.ts';

export const DRILL_NAMES = presetNames();
export const CONTROLLER_NAMES = controllerNames();

/** Parameters of a drill. */
export function drillNamed(name: string): DrillParams {
  const drill = PRESETS[name];
  if (!drill) throw new RangeError(`drill '${name}' is not known; known are ${DRILL_NAMES.join(', ')}`);
  return drill;
}

/** A fresh built-in controller that fits the drill and its board; one without rotor sensor is commissioned first. */
export const controllerNamed = builtInFor;
