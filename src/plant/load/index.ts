/**
 * What the chuck meets. A load gives two bounds; whatever torque between them holds the chuck still does so, beyond them
 * it slips. That covers a gripping hand, a hard stop and a screw alike.
 */
import { slot } from '../slots.ts';
import { work } from '../work.ts';
import { boundScrew, type ScrewMap } from './screw.ts';

/** What the chuck can meet; the index is the value of the slot `meets`. */
export const LOADS = ['nothing', 'screw', 'stop'] as const;
export type LoadName = (typeof LOADS)[number];
const SCREW = 1;
const STOP = 2;

/** Torque of a stop that does not give: beyond anything a gearbox passes [N·m]. */
const RIGID_NM = 1e6;
/** Angle that the chuck may turn before it meets the hard stop [rad]. */
export const STOP_AFTER_RAD = 1;

const MEETS = slot('meets');
const GRIP = slot('grip');
const CHUCK_ANGLE = slot('chuckAngle');
const CHUCK = slot('chuckSpeed');
const STOP_ANGLE = slot('stopAngle');
const DEPTH = slot('depth');
const STRIPPED = slot('stripped');
const DT = work('dt');
const LOAD_LOW = work('loadLow');
const LOAD_HIGH = work('loadHigh');
const DEPTH_MID = work('depthMid');
const CHUCK1 = work('chuck1');

/** Bounds of the load torque for the step, taken at the depth in its middle. */
export function boundLoad(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  w[LOAD_LOW] = -x[GRIP];
  w[LOAD_HIGH] = x[GRIP];
  if (x[MEETS] === SCREW) {
    w[DEPTH_MID] = x[DEPTH] + (x[STRIPPED] === 1 ? 0 : p.lead_m_rad * 0.5 * w[DT] * x[CHUCK]);
    boundScrew(x, w, p);
  } else if (x[MEETS] === STOP && x[CHUCK_ANGLE] >= x[STOP_ANGLE]) {
    w[LOAD_LOW] = -RIGID_NM;
  }
}

/** End of a step: the screw has moved by pitch per turn; past its strength the thread in the wood gives way. */
export function commitLoad(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  const turned = 0.5 * w[DT] * (x[CHUCK] + w[CHUCK1]);
  x[CHUCK_ANGLE] += turned;
  if (x[MEETS] !== SCREW || x[STRIPPED] === 1) return;
  const depth = x[DEPTH] + p.lead_m_rad * turned;
  x[DEPTH] = Math.max(depth, 0);
  if (p.clamp_N_m * (depth - p.seat_m) > p.strip_N) x[STRIPPED] = 1;
}

/** Puts a new screw to the wood, or the hard stop ahead of the chuck. */
export function placeLoad(x: Float64Array, depth_m: number): void {
  x[DEPTH] = depth_m;
  x[STRIPPED] = 0;
  x[STOP_ANGLE] = x[CHUCK_ANGLE] + STOP_AFTER_RAD;
}
