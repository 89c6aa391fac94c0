/**
 * A drill bit on its way through a board or a plate.
 *
 * Model   two lips: M = kc f d^2 / 8, kc = k1 h^-m with h = f/2 sin(half point angle), lengths in mm. The push of the hand
 *         sets the feed f a turn: push = C f^n. Part of it is taken by the middle of the point, which cuts nothing worth
 *         of torque. Where the point comes out that part is gone: the feed jumps and the lips bite, before less and less
 *         of them is left in the work. Beyond a largest feed the bit pulls itself in. Backwards it only rubs.
 * Scheme  bounds of dry friction, renewed once an update: a bit that asks for more than the drill has stands still.
 * Source  Kienzle 1952 (from memory). Push and torque over feed: catalog fit read on docs.steelcam.org (page L068);
 *         wood: McMillin, Woodson, Forest Products Journal 22(11), 1972 (read in the treesearch archive, no. 8240).
 */
import { exponential, logarithm, sine } from '../../units/elementary.ts';
import type { BoreParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';
import { grainAt } from './grain.ts';

const DEPTH = slot('depth');
const PUSH = slot('push');
const FEED = slot('feed');
const CHUCK_ANGLE = slot('chuckAngle');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const FROM = work('loadFrom');

const MM = 1e-3;
const TURN = 6.283185307179586;

/** x to the power y for x > 0. */
function power(x: number, y: number): number {
  return y === 0 ? 1 : exponential(y * logarithm(x));
}

/** Share of the lips that is in the work at a depth of the point. */
export function lipsIn(p: BoreParams, depth_m: number): number {
  const entering = depth_m / p.tip_m;
  const leaving = 1 - (depth_m - p.thickness_m) / p.tip_m;
  return Math.max(0, Math.min(1, entering, leaving));
}

/** Feed of one turn [m] that a push gives at a depth. */
export function feedOfPush_m(p: BoreParams, push_N: number, depth_m: number): number {
  const middle = depth_m < p.thickness_m ? p.chisel : 0;
  const share = middle + (1 - p.chisel) * lipsIn(p, depth_m);
  if (push_N <= 0) return 0;
  const most = power(p.feedMost_m / MM, p.thrustPower) * p.thrust_N * share;
  if (push_N >= most) return p.feedMost_m;
  return MM * power(push_N / (p.thrust_N * share), 1 / p.thrustPower);
}

/** Torque [N·m] of whole lips at a feed of one turn [m]. */
export function cuttingTorque_Nm(p: BoreParams, feed_m: number): number {
  if (feed_m <= 0) return 0;
  const h = (0.5 * feed_m * sine(p.halfPoint_rad)) / MM;
  return (p.cutting_Pa * power(h, -p.chipPower) * feed_m * p.diameter_m * p.diameter_m) / 8;
}

/** Widens the bounds of the load torque by what bit and chip ask for. */
export function boundBore(x: Float64Array, w: Float64Array, p: BoreParams): void {
  const z = x[DEPTH];
  x[FEED] = feedOfPush_m(p, x[PUSH], z);
  const cut = lipsIn(p, z) * cuttingTorque_Nm(p, x[FEED]) * grainAt(x, z, p.scatter, p.grain_m);
  const rub = z > 0 ? p.rub_Nm : 0;
  w[LOW] -= cut + rub;
  w[HIGH] += rub;
}

/** The point has moved by the feed a turn; it stops where the hole is through. */
export function advanceBore(x: Float64Array, w: Float64Array, p: BoreParams): void {
  const turned = x[CHUCK_ANGLE] - w[FROM];
  if (turned <= 0) return;
  x[DEPTH] = Math.min(x[DEPTH] + (x[FEED] * turned) / TURN, p.thickness_m + p.tip_m);
}
