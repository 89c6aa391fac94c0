/**
 * Trigger and direction switch as the board sees them.
 *
 * Model   the trigger is a track between two end resistors with a wiper, read as a share of the reference. A wiper that is open
 *         leaves the pin to its pull-down or pull-up; over a worn spot it lifts off now and then and falls to the pull-down.
 *         The direction switch gives a level for In and one for Out. It breaks before it makes; while it bounces, its new
 *         contact is closed in half of the samples, drawn.
 * Numbers place of the worn spot, how often and for how long the wiper lifts: illustrative.
 */
import { WAY, WIPER } from '../plant/damage.ts';
import type { Plant } from '../plant/plant.ts';
import { drawEven } from '../plant/random.ts';
import { slot } from '../plant/slots.ts';
import type { BoardParams } from './board.ts';

const TRIGGER = slot('trigger');
const DIRECTION = slot('direction');
const CHANCE = slot('chance');
const WIPER_BITS = slot('wiper');
const WORN = slot('wornSpot');
const UNTIL = slot('wiperUntil');
const BAD = slot('wayBad');
const BOUNCE = slot('wayBounce');
const WAS = slot('wayWas');
const SINCE = slot('waySince');

/** Middle of the worn spot in the travel. */
export const WORN_AT = 0.4;
/** Mean time that the wiper touches in the worn spot before it lifts [s]. */
const TOUCHES_S = 5e-3;
/** Shortest time that it is lifted, and by how much more it may be [s]. */
const LIFTED_S = 0.5e-3;
const LIFTED_MORE_S = 3e-3;

/** Trigger reading before noise and rounding. */
export function readTrigger(plant: Plant, b: BoardParams): number {
  const x = plant.state;
  const { triggerLow_counts: low, triggerHigh_counts: high } = b;
  const bits = x[WIPER_BITS];
  if (bits !== 0) {
    if ((bits & WIPER.down) !== 0) return 0;
    if ((bits & WIPER.up) !== 0) return 2 ** b.bits - 1;
    return (bits & WIPER.released) !== 0 ? low : high;
  }
  if (x[WORN] > 0 && lifted(x, plant.time_s, plant.period_s)) return 0;
  return low + (high - low) * x[TRIGGER];
}

/** Whether the wiper is off its track now. */
function lifted(x: Float64Array, time_s: number, period_s: number): boolean {
  if (time_s < x[UNTIL]) return true;
  const away = x[TRIGGER] - WORN_AT;
  if (away > 0.5 * x[WORN] || -away > 0.5 * x[WORN]) return false;
  if (drawEven(x, CHANCE) >= period_s / TOUCHES_S) return false;
  x[UNTIL] = time_s + LIFTED_S + LIFTED_MORE_S * drawEven(x, CHANCE);
  return true;
}

/** Levels of the direction switch: 1 for In, 2 for Out, their sum for both. */
export function readWay(x: Float64Array, time_s: number): number {
  const stands = x[DIRECTION];
  if (stands !== x[WAS]) {
    x[WAS] = stands;
    x[SINCE] = time_s;
  }
  const bits = x[BAD];
  if ((bits & WAY.both) !== 0) return 3;
  if ((bits & WAY.open) !== 0) return 0;
  if (x[BOUNCE] > 0 && time_s - x[SINCE] < x[BOUNCE] && drawEven(x, CHANCE) < 0.5) return 0;
  const way = (bits & WAY.turned) !== 0 ? -stands : stands;
  return way > 0 ? 1 : way < 0 ? 2 : 0;
}
