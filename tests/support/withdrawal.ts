/**
 * Force that pulls a screw out of wood along its axis, by published formulas.
 *
 * Source  wood screw 2850 G^2 D: engineeringtoolbox.com, d_1815 (read). Lag screw 1800 G^1.5 D^0.75:
 *         ns2.engineersedge.com (read). Both in lb per inch of thread in the wood, G the specific gravity, D in inches; both
 *         are loads to design with, several times below the force that pulls the screw out.
 *         EN 1995-1-1, 8.7.2: 0.52 d^-0.5 l^-0.1 rho^0.8 (read in the README of paulevalentine/Python_Development, whose
 *         exponent 0.08 is a misprint; 0.8 from memory). Characteristic, 6 to 12 mm only.
 */

/** Newton per metre for one pound per inch. */
export const LB_IN_N_M = 4.4482216 / 0.0254;

/** Wood screw: load for an inch of thread [lb/in]. */
export const woodScrew_lb_in = (gravity: number, d_in: number) => 2850 * gravity ** 2 * d_in;

/** Lag screw: load for an inch of thread [lb/in]. */
export const lagScrew_lb_in = (gravity: number, d_in: number) => 1800 * gravity ** 1.5 * d_in ** 0.75;

/** Withdrawal strength of EN 1995-1-1 [N/mm2] for thread diameter and length in mm and a density in kg/m3. */
export const withdrawal_N_mm2 = (d_mm: number, l_mm: number, rho_kg_m3: number) =>
  0.52 * d_mm ** -0.5 * l_mm ** -0.1 * rho_kg_m3 ** 0.8;

/** Withdrawal force along the axis [N], square to the grain. Throws RangeError where the formula does not hold. */
export function withdrawal_N(d_mm: number, l_mm: number, rho_kg_m3: number): number {
  if (d_mm < 6 || d_mm > 12) throw new RangeError(`d_mm is ${d_mm}; allowed is 6 to 12 mm`);
  return withdrawal_N_mm2(d_mm, l_mm, rho_kg_m3) * d_mm * l_mm * Math.min(d_mm / 8, 1);
}
