/** From what a scenario says to the hands of the plant. */
import type { HandName, Hands } from '../plant/hands.ts';
import { LOADS } from '../plant/load/index.ts';
import type { Plant } from '../plant/plant.ts';
import type { Handling, Scenario } from '../scenario/scenario.ts';
import type { Handler } from '../scenario/timeline.ts';

/** Applies one change; what is undefined stays as it was. Throws RangeError when a value is out of range. */
export function handle(hands: Hands, change: Handling): void {
  setIf(hands, 'trigger', change.trigger);
  setIf(hands, 'direction', change.direction);
  setIf(hands, 'gear', change.gear);
  setIf(hands, 'grip', change.grip_Nm);
  setIf(hands, 'clutch', change.clutch);
  setIf(hands, 'push', change.push_N);
  setIf(hands, 'wrist', change.wrist);
  setIf(hands, 'jointSpan', change.span_rad);
  setIf(hands, 'ambient', change.ambient_K);
  if (change.meets !== undefined) hands.set('meets', LOADS.indexOf(change.meets));
}

/** The hands as a timeline moves them. */
export const handled = (hands: Hands): Handler => ({ handle: (change: Handling) => handle(hands, change) });

/** Brings the drill to where the scenario begins. */
export function setUp(plant: Pick<Plant, 'hands'>, chuck: Scenario['chuck']): void {
  handle(plant.hands, chuck);
  if (chuck.depth_m !== undefined) plant.hands.placeNew(chuck.depth_m);
}

function setIf(hands: Hands, name: HandName, value: number | undefined): void {
  if (value !== undefined) hands.set(name, value);
}
