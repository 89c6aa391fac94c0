/**
 * Wood screw as a function of depth, never of time.
 *
 * Model   in:  tip torque, rising with depth until the thread is fully engaged; from head contact on the clamp force
 *              stretches screw and boards and adds F (r2 tan(rho + phi) + rh mu_h);
 *         out: the helix term changes sign, F (r2 tan(rho - phi) + rh mu_h), and the thread asks for less than on the way in;
 *         tan(rho) = mu / cos(half flank angle). Both are bounds of dry friction: a seated screw holds by itself.
 *         Above its strength the thread in the wood gives way: the screw turns on the spot and clamps no more.
 * Source  shape of the curve: Tor et al., "Characteristics of torques for driving screws into wood-based composites",
 *         Wood and Fiber Science (wfs.swst.org, article 2215). Tightening and loosening: mechanics of the power screw,
 *         any textbook of machine elements (from memory).
 */
import { cosine } from '../elementary.ts';
import type { ScrewParams } from '../params.ts';
import { slot } from '../slots.ts';
import { work } from '../work.ts';

const DEPTH = slot('depth');
const STRIPPED = slot('stripped');
const CHUCK_ANGLE = slot('chuckAngle');
const LOW = work('loadLow');
const HIGH = work('loadHigh');
const LOW_SLOPE = work('loadLowSlope');
const HIGH_SLOPE = work('loadHighSlope');
const FROM = work('loadFrom');

/** Screw parameters with the levers that a step needs; made once. */
export interface ScrewMap extends ScrewParams {
  /** Torque per newton of clamp force, tightening and loosening [m]. */ readonly leverIn_m: number;
  readonly leverOut_m: number;
  /** Depth per radian of the chuck [m]. */ readonly lead_m_rad: number;
}

/** Adds the levers to checked parameters. Throws RangeError when the clamped screw would not hold by itself. */
export function screwMap(p: ScrewParams): ScrewMap {
  const lead = p.pitch_m / (2 * Math.PI);
  const tanRho = p.friction / cosine(p.halfFlank_rad);
  const tanPhi = lead / p.threadRadius_m;
  if (tanRho <= tanPhi) throw new RangeError(`screw.friction is ${p.friction}; it must exceed the slope of the thread`);
  const head = p.headRadius_m * p.headFriction;
  const leverIn_m = (p.threadRadius_m * (tanRho + tanPhi)) / (1 - tanRho * tanPhi) + head;
  const leverOut_m = (p.threadRadius_m * (tanRho - tanPhi)) / (1 + tanRho * tanPhi) + head;
  return Object.freeze({ ...p, leverIn_m, leverOut_m, lead_m_rad: lead });
}

/** Force that the seated head puts on the boards [N]; 0 before contact and once stripped. */
export function clampForce_N(p: ScrewParams, depth_m: number, stripped: boolean): number {
  return stripped || depth_m <= p.seat_m ? 0 : p.clamp_N_m * (depth_m - p.seat_m);
}

/** Widens the bounds of the load torque by what the screw can hold, in and out, and says how that grows with the turn. */
export function boundScrew(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  const z = x[DEPTH];
  if (z <= 0) {
    // The tip only just touches: it bites from here on.
    w[LOW] -= x[STRIPPED] === 1 ? 0 : p.tip_Nm;
    return;
  }
  const thread = p.tip_Nm + p.thread_Nm_m * Math.min(z, p.fullThread_m);
  if (x[STRIPPED] === 1) {
    w[LOW] -= p.strippedShare * thread;
    w[HIGH] += p.strippedShare * thread;
    return;
  }
  const clamp = z > p.seat_m ? p.clamp_N_m * (z - p.seat_m) : 0;
  const grows = z < p.fullThread_m ? p.thread_Nm_m : 0;
  const stretches = z > p.seat_m ? p.clamp_N_m : 0;
  w[LOW] -= thread + clamp * p.leverIn_m;
  w[HIGH] += p.outShare * thread + clamp * p.leverOut_m;
  w[LOW_SLOPE] = -p.lead_m_rad * (grows + stretches * p.leverIn_m);
  w[HIGH_SLOPE] = p.lead_m_rad * (p.outShare * grows + stretches * p.leverOut_m);
}

/** The screw has moved by its pitch per turn; past its strength the thread in the wood gives way. */
export function advanceScrew(x: Float64Array, w: Float64Array, p: ScrewMap): void {
  if (x[STRIPPED] === 1) return;
  const depth = x[DEPTH] + p.lead_m_rad * (x[CHUCK_ANGLE] - w[FROM]);
  x[DEPTH] = Math.max(depth, 0);
  if (p.clamp_N_m * (depth - p.seat_m) > p.strip_N) x[STRIPPED] = 1;
}
