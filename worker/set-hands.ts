import type { Plant } from '../src/plant/plant.ts';
import type { Hands } from './api.ts';

/** Sets what is given of the hands. Throws RangeError with name, value and range. */
export function setHands(plant: Plant, hands: Hands): void {
  const { direction, gear, meets, grip_Nm, trigger, clutch, wrist, push_N } = hands;
  if (direction !== undefined) plant.hands.set('direction', direction);
  if (gear !== undefined) plant.hands.set('gear', gear);
  if (meets !== undefined) plant.hands.set('meets', meets);
  if (grip_Nm !== undefined) plant.hands.set('grip', grip_Nm);
  if (clutch !== undefined) plant.hands.set('clutch', clutch);
  if (wrist !== undefined) plant.hands.set('wrist', wrist);
  if (push_N !== undefined) plant.hands.set('push', push_N);
  if (trigger !== undefined) plant.hands.set('trigger', trigger);
}
