/** Parameters of what the chuck meets. */
import { number, type ValuesOf } from './band.ts';

export const SCREW = Object.freeze({
  pitch_m: number(2e-4, 0.02, 'm', 'advance per turn'),
  seat_m: number(0.005, 0.5, 'm', 'depth at which the head meets the board'),
  tip_Nm: number(0, 10, 'N·m', 'torque of the tip as it bites'),
  thread_Nm_m: number(0, 2000, 'N·m/m', 'rise of the driving torque with depth'),
  fullThread_m: number(0.002, 0.5, 'm', 'depth at which the thread is fully engaged'),
  outShare: number(0, 1, '', 'share of the driving torque that the thread asks on the way out'),
  clamp_N_m: number(1e4, 1e9, 'N/m', 'stiffness of the clamped boards'),
  strip_N: number(50, 1e5, 'N', 'force at which the thread in the wood gives way'),
  threadRadius_m: number(5e-4, 0.02, 'm', 'mean radius of the thread'),
  halfFlank_rad: number(0.1, 0.8, 'rad', 'half angle of the thread flank'),
  friction: number(0.05, 1, '', 'friction in the thread'),
  headRadius_m: number(1e-3, 0.03, 'm', 'mean radius of the head bearing'),
  headFriction: number(0.05, 1, '', 'friction under the head'),
  strippedShare: number(0, 1, '', 'share of the thread torque that is left once the thread has given way'),
});
export type ScrewParams = ValuesOf<typeof SCREW>;
