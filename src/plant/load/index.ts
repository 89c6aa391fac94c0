/**
 * What the chuck meets. A load gives two bounds; whatever torque between them holds the chuck still does so, beyond them
 * it slips. That covers a gripping hand, a hard stop, a screw, a drill bit and a joint alike.
 *
 * Once an update a load says its bounds at the present chuck angle and how they change with it; within the update, some
 * milliradians of the chuck, the kernel follows that straight line.
 */
import type { BoreParams, DrillParams, JointParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';
import { advanceBore, boundBore } from './bore.ts';
import { boundJoint } from './joint.ts';
import { advanceScrew, boundScrew, newScrew, type ScrewMap, screwMap } from './screw.ts';

/** What the chuck can meet; the index is the value of the slot `meets`. */
export const LOADS = ['nothing', 'screw', 'stop', 'wood', 'steel', 'joint'] as const;
export type LoadName = (typeof LOADS)[number];
const SCREW = 1;
const STOP = 2;
const WOOD = 3;
const STEEL = 4;
const JOINT = 5;

/** Angle that the chuck may turn before it meets the hard stop or the joint [rad]. */
export const STOP_AFTER_RAD = 1;

const MEETS = slot('meets');
const GRIP = slot('grip');
const JAMMED = slot('jammed');
const LOST = slot('loadLost');
const CHUCK_ANGLE = slot('chuckAngle');
const STOP_ANGLE = slot('stopAngle');
const DEPTH = slot('depth');
const FEED = slot('feed');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');
const FROM = work('loadFrom');
const WALL = work('wall');

/** Constants of every load, made once. */
export interface LoadMaps {
  readonly screw: ScrewMap;
  readonly wood: BoreParams;
  readonly steel: BoreParams;
  readonly joint: JointParams;
}

/** Throws RangeError when a clamped screw would not hold by itself. */
export function loadMaps(p: Pick<DrillParams, 'screw' | 'bit' | 'wood' | 'steel' | 'joint'>): LoadMaps {
  return Object.freeze({ screw: screwMap(p.screw, p.bit), wood: p.wood, steel: p.steel, joint: p.joint });
}

/** Start of an update: bounds of the load torque at the present chuck angle, and their change with it. */
export function renewLoad(x: Float64Array, w: Float64Array, maps: LoadMaps): void {
  const held = x[GRIP] + x[JAMMED];
  w[LOW] = -held;
  w[HIGH] = held;
  w[LOW_SLOPE] = 0;
  w[HIGH_SLOPE] = 0;
  w[FROM] = x[CHUCK_ANGLE];
  w[WALL] = x[MEETS] === STOP ? x[STOP_ANGLE] : Number.POSITIVE_INFINITY;
  if (x[MEETS] === SCREW) boundScrew(x, w, maps.screw);
  else if (x[MEETS] === WOOD) boundBore(x, w, maps.wood);
  else if (x[MEETS] === STEEL) boundBore(x, w, maps.steel);
  else if (x[MEETS] === JOINT) boundJoint(x, w, maps.joint);
  if (x[LOST] > 0) lose(w, 1 - x[LOST], held);
}

/** Keeps a share of what the work, not a hand, asks of the chuck. */
function lose(w: Float64Array, kept: number, held_Nm: number): void {
  w[LOW] = (w[LOW] + held_Nm) * kept - held_Nm;
  w[HIGH] = (w[HIGH] - held_Nm) * kept + held_Nm;
  w[LOW_SLOPE] *= kept;
  w[HIGH_SLOPE] *= kept;
  if (kept === 0) w[WALL] = Number.POSITIVE_INFINITY;
}

/** End of an update: what the turn of the chuck has done to the work. */
export function commitLoad(x: Float64Array, w: Float64Array, maps: LoadMaps): void {
  // A bit that has broken leaves the work as it is.
  if (x[LOST] === 1) return;
  if (x[MEETS] === SCREW) advanceScrew(x, w, maps.screw);
  else if (x[MEETS] === WOOD) advanceBore(x, w, maps.wood);
  else if (x[MEETS] === STEEL) advanceBore(x, w, maps.steel);
}

/** Puts new work to the chuck: a screw or bit at a depth, a stop or joint ahead. */
export function placeLoad(x: Float64Array, p: Pick<DrillParams, 'screw'>, depth_m: number): void {
  newScrew(x, p.screw);
  x[DEPTH] = depth_m;
  x[FEED] = 0;
  x[STOP_ANGLE] = x[CHUCK_ANGLE] + STOP_AFTER_RAD;
}
