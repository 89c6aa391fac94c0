/**
 * A finger on the trigger: a slider jumps, a finger takes some 20 ms for the whole travel. Firmware tells by that whether it was
 * booted by a press or by a supply that broke down under a held trigger. Letting go is as quick as the slider.
 */
import { HANDS } from '../src/plant/hands.ts';
import type { Plant } from '../src/plant/plant.ts';
import { requireRange } from '../src/units/checks.ts';

/** Time for the whole travel [s]; illustrative. */
const WHOLE_S = 0.02;

export class Finger {
  private wanted = 0;

  /** Where it is going, 0 to 1. */
  get aimed(): number {
    return this.wanted;
  }

  /** Where the finger is going, 0 to 1. Throws RangeError with name, value and range. */
  aim(plant: Plant, travel: number): void {
    requireRange('trigger', travel, HANDS.trigger.low, HANDS.trigger.high, '');
    this.wanted = travel;
    if (travel < plant.hands.get('trigger')) plant.hands.set('trigger', travel);
  }

  /** One PWM period. */
  move(plant: Plant): void {
    const now = plant.hands.get('trigger');
    if (now >= this.wanted) return;
    plant.hands.set('trigger', Math.min(this.wanted, now + plant.period_s / WHOLE_S));
  }
}
