/**
 * What the chuck meets. A load gives two bounds; whatever torque between them holds the chuck still does so, beyond them
 * it slips. That covers a gripping hand, a hard stop and a screw alike.
 *
 * Once an update a load says its bounds at the present chuck angle and how they change with it; within the update, some
 * milliradians of the chuck, the kernel follows that straight line.
 */
import type { DrillParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';
import { advanceScrew, boundScrew, type ScrewMap, screwMap } from './screw.ts';

/** What the chuck can meet; the index is the value of the slot `meets`. */
export const LOADS = ['nothing', 'screw', 'stop'] as const;
export type LoadName = (typeof LOADS)[number];
const SCREW = 1;
const STOP = 2;

/** Angle that the chuck may turn before it meets the hard stop [rad]. */
export const STOP_AFTER_RAD = 1;

const MEETS = slot('meets');
const GRIP = slot('grip');
const CHUCK_ANGLE = slot('chuckAngle');
const STOP_ANGLE = slot('stopAngle');
const DEPTH = slot('depth');
const STRIPPED = slot('stripped');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');
const FROM = work('loadFrom');
const WALL = work('wall');

/** Constants of every load, made once. */
export interface LoadMaps {
  readonly screw: ScrewMap;
}

/** Throws RangeError when a clamped screw would not hold by itself. */
export function loadMaps(p: Pick<DrillParams, 'screw'>): LoadMaps {
  return Object.freeze({ screw: screwMap(p.screw) });
}

/** Start of an update: bounds of the load torque at the present chuck angle, and their change with it. */
export function renewLoad(x: Float64Array, w: Float64Array, maps: LoadMaps): void {
  w[LOW] = -x[GRIP];
  w[HIGH] = x[GRIP];
  w[LOW_SLOPE] = 0;
  w[HIGH_SLOPE] = 0;
  w[FROM] = x[CHUCK_ANGLE];
  w[WALL] = x[MEETS] === STOP ? x[STOP_ANGLE] : Number.POSITIVE_INFINITY;
  if (x[MEETS] === SCREW) boundScrew(x, w, maps.screw);
}

/** End of an update: what the turn of the chuck has done to the work. */
export function commitLoad(x: Float64Array, w: Float64Array, maps: LoadMaps): void {
  if (x[MEETS] === SCREW) advanceScrew(x, w, maps.screw);
}

/** Puts a new screw to the wood, or the hard stop ahead of the chuck. */
export function placeLoad(x: Float64Array, depth_m: number): void {
  x[DEPTH] = depth_m;
  x[STRIPPED] = 0;
  x[STOP_ANGLE] = x[CHUCK_ANGLE] + STOP_AFTER_RAD;
}
