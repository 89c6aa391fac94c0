/**
 * A published lithium cell of 850 mA·h whose two RC pairs change with its charge, and its discharge by a general solver.
 *
 * Source  Chen, Rincon-Mora, "Accurate electrical battery model capable of predicting runtime and I-V performance", IEEE
 *         Trans. Energy Convers. 21(2), 2006, 504-511: coefficients as read in three public copies. Below a charge of
 *         0.0112 the fit of the capacitances turns negative: it is held from `LEAST_FOR_C` downwards.
 */
import { Solver } from 'odex';

export const CAPACITY_AS = 850 * 3.6;
/** The capacitances are taken at this charge or above. */
export const LEAST_FOR_C = 0.02;

export const ocv_V = (s: number) => -1.031 * Math.exp(-35 * s) + 3.685 + 0.2156 * s - 0.1178 * s ** 2 + 0.3201 * s ** 3;
export const r0_ohm = (s: number) => 0.1562 * Math.exp(-24.37 * s) + 0.07446;
export const r1_ohm = (s: number) => 0.3208 * Math.exp(-29.14 * s) + 0.04669;
export const c1_F = (s: number) => -752.9 * Math.exp(-13.51 * s) + 703.6;
export const r2_ohm = (s: number) => 6.603 * Math.exp(-155.2 * s) + 0.04984;
export const c2_F = (s: number) => -6056 * Math.exp(-27.12 * s) + 4475;

/** Voltages of both pairs [V] and charge after t_s of a steady current, by odex; `leastForC` holds the capacitances. */
export function dischargeByOdex(start: readonly number[], i_A: number, t_s: number, leastForC = LEAST_FOR_C): number[] {
  const f = (_t: number, [v1, v2, s]: number[]): number[] => {
    const held = Math.max(s, leastForC);
    return [(i_A - v1 / r1_ohm(s)) / c1_F(held), (i_A - v2 / r2_ohm(s)) / c2_F(held), -i_A / CAPACITY_AS];
  };
  const solver = new Solver(3);
  solver.absoluteTolerance = 1e-12;
  solver.relativeTolerance = 1e-12;
  return solver.solve(f, 0, [...start], t_s).y;
}

/** Terminal voltage [V] for pair voltages and charge as `dischargeByOdex` gives them. */
export function terminal_V([v1, v2, s]: readonly number[], i_A: number): number {
  return ocv_V(s) - r0_ohm(s) * i_A - v1 - v2;
}
