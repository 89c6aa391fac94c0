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
import type { ScrewParams } from '../params.ts';

/** Force that the seated head puts on the boards [N]; 0 before contact and once stripped. */
export function clampForce_N(p: ScrewParams, depth_m: number, stripped: boolean): number {
  return stripped || depth_m <= p.seat_m ? 0 : p.clamp_N_m * (depth_m - p.seat_m);
}

/** Torque of the thread in the wood on the way in [N·m]; 0 with the tip in the air. */
export function threadTorque_Nm(p: ScrewParams, depth_m: number): number {
  if (depth_m <= 0) return 0;
  return p.tip_Nm + p.thread_Nm_m * Math.min(depth_m, p.fullThread_m);
}

/** Torque per newton of clamp force [m]: direction +1 tightens, -1 loosens. */
export function clampLever_m(p: ScrewParams, direction: 1 | -1): number {
  const half = p.halfFlank_rad;
  // cos by the first terms of its series: the half flank angle is a parameter below 45 degrees, not a state.
  const q = half * half;
  const cosHalf = 1 - (q / 2) * (1 - (q / 12) * (1 - (q / 30) * (1 - (q / 56) * (1 - q / 90))));
  const tanRho = p.friction / cosHalf;
  const tanPhi = p.pitch_m / (6.283185307179586 * p.threadRadius_m);
  const helix = (tanRho + direction * tanPhi) / (1 - direction * tanRho * tanPhi);
  return p.threadRadius_m * helix + p.headRadius_m * p.headFriction;
}

/** Largest torque with which the screw resists being driven in [N·m]. */
export function screwTorqueIn_Nm(p: ScrewParams, depth_m: number, stripped: boolean): number {
  if (stripped) return p.strippedShare * threadTorque_Nm(p, depth_m);
  const clamp = clampForce_N(p, depth_m, false);
  return threadTorque_Nm(p, depth_m) + (clamp > 0 ? clamp * clampLever_m(p, 1) : 0);
}

/** Largest torque with which the screw resists being driven out [N·m]. */
export function screwTorqueOut_Nm(p: ScrewParams, depth_m: number, stripped: boolean): number {
  if (stripped) return p.strippedShare * threadTorque_Nm(p, depth_m);
  const clamp = clampForce_N(p, depth_m, false);
  return p.outShare * threadTorque_Nm(p, depth_m) + (clamp > 0 ? clamp * clampLever_m(p, -1) : 0);
}
