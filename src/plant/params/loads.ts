/** Parameters of what the chuck meets. */
import { number, type ValuesOf, whole } from './band.ts';

export const SCREW = Object.freeze({
  pitch_m: number(2e-4, 0.02, 'm', 'advance per turn'),
  seat_m: number(0.005, 0.5, 'm', 'depth at which the head meets the board'),
  tip_Nm: number(0, 10, 'N·m', 'torque of the tip as it bites'),
  thread_Nm_m: number(0, 2000, 'N·m/m', 'rise of the driving torque with depth'),
  fullThread_m: number(0.002, 0.5, 'm', 'depth at which the thread is fully engaged'),
  outShare: number(0, 1, '', 'share of the driving torque that the thread asks on the way out'),
  clamp_N_m: number(1e4, 1e9, 'N/m', 'stiffness of the clamped boards'),
  strip_N: number(50, 1e5, 'N', 'force at which the thread in the wood gives way'),
  stripTurn_rad: number(0.05, 50, 'rad', 'turn over which it gives way'),
  strippedShare: number(0, 1, '', 'share of the thread torque that is left once the thread has given way'),
  shear_Nm: number(0.2, 500, 'N·m', 'torque at which the shank yields'),
  shearTwist_rad: number(0.01, 20, 'rad', 'twist from there to the break'),
  stick: number(1, 3, '', 'torque to break a driven screw loose, over the torque to turn it out'),
  loose_rad: number(0.001, 3, 'rad', 'turn over which the excess is gone'),
  scatter: number(0, 0.3, '', 'deviation of torque and strength from screw to screw, and along the grain'),
  grain_m: number(2e-4, 0.1, 'm', 'depth over which the wood changes'),
  threadRadius_m: number(5e-4, 0.02, 'm', 'mean radius of the thread'),
  halfFlank_rad: number(0.1, 0.8, 'rad', 'half angle of the thread flank'),
  friction: number(0.05, 1, '', 'friction in the thread'),
  headRadius_m: number(1e-3, 0.03, 'm', 'mean radius of the head bearing'),
  headFriction: number(0.05, 1, '', 'friction under the head'),
});
export type ScrewParams = ValuesOf<typeof SCREW>;

export const BIT = Object.freeze({
  hold_Nm: number(0, 500, 'N·m', 'torque that the bit holds in the recess without any push'),
  push_m: number(0, 1, 'm', 'and more for each newton of push'),
  corners: whole(1, 12, 'places on a turn where the bit catches'),
  slipShare: number(0, 1, '', 'torque between two of them, as a share of what it holds'),
});
export type BitParams = ValuesOf<typeof BIT>;

/** A drill bit in a board or plate; wood and steel differ in numbers only. */
export const BORE = Object.freeze({
  diameter_m: number(5e-4, 0.1, 'm', 'diameter of the hole'),
  thickness_m: number(2e-4, 0.5, 'm', 'thickness of the work'),
  tip_m: number(1e-4, 0.05, 'm', 'height of the point of the bit'),
  halfPoint_rad: number(0.2, 1.6, 'rad', 'half of the point angle'),
  cutting_Pa: number(1e6, 1e10, 'Pa', 'specific cutting force at a chip of 1 mm'),
  chipPower: number(0, 0.6, '', 'power with which it falls as the chip thickens'),
  thrust_N: number(1, 1e6, 'N', 'push for a feed of 1 mm a turn'),
  thrustPower: number(0.3, 1.2, '', 'power with which the push grows with the feed'),
  chisel: number(0, 0.9, '', 'share of the push that the middle of the point takes'),
  feedMost_m: number(1e-6, 0.02, 'm', 'feed a turn at which the bit pulls itself in'),
  rub_Nm: number(0, 50, 'N·m', 'rubbing of the bit in the hole'),
  scatter: number(0, 0.5, '', 'deviation of the torque along the depth'),
  grain_m: number(1e-5, 0.1, 'm', 'depth over which the work changes'),
});
export type BoreParams = ValuesOf<typeof BORE>;

export const JOINT = Object.freeze({
  full_Nm: number(0.1, 1000, 'N·m', 'torque of the joint at 100 %'),
  span_rad: number(0.02, 20, 'rad', 'turn from 10 to 100 % of it'),
  outShare: number(0, 1, '', 'torque to loosen over torque to tighten'),
});
export type JointParams = ValuesOf<typeof JOINT>;
