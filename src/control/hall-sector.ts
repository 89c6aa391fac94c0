/**
 * Which legs carry the current in each sector of the rotor angle.
 *
 * Frame   Halls on the phase axes: Hall x reads 1 while cos(theta - x * 120 deg) > 0, so a code changes every 60 deg
 *         electrical, at 30 + 60 k. Sector 0 spans -30 to 30 deg, sector 1 spans 30 to 90 deg, and so on.
 * Sign    positive current flows from the leg into the motor; positive torque turns the rotor towards rising theta.
 * Source  derived from the EMF of phase x, e_x = -w * lambda * sin(theta - x * 120 deg): in every sector the high leg is
 *         the phase with the largest EMF, the low leg the one with the smallest.
 */

/** Legs in the order of the phases. */
export const LEG_A = 0;
export const LEG_B = 1;
export const LEG_C = 2;

/** Sector of a Hall code A + 2 B + 4 C; -1 for 000 and 111, which no rotor angle gives. */
export const SECTOR_OF_CODE: readonly number[] = [-1, 0, 2, 1, 4, 5, 3, -1];

/** Leg whose high side chops, by sector, for positive torque. */
export const HIGH_LEG: readonly number[] = [LEG_B, LEG_B, LEG_C, LEG_C, LEG_A, LEG_A];

/** Leg whose low side stays on, by sector, for positive torque. For negative torque the two change places. */
export const LOW_LEG: readonly number[] = [LEG_C, LEG_A, LEG_A, LEG_B, LEG_B, LEG_C];

/** Signed number of sectors from one to the next, -2 to 3. */
export function sectorStep(from: number, to: number): number {
  const ahead = (to - from + 6) % 6;
  return ahead > 3 ? ahead - 6 : ahead;
}

/** Sector that lies `ahead` sectors further on; `ahead` may be -6 or more. */
export function sectorAhead(sector: number, ahead: number): number {
  return (sector + ahead + 6) % 6;
}
