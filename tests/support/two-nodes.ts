/** Winding and housing of a motor as two heat capacities, by a general solver instead of the plant's own step. */
import { Solver } from 'odex';
import type { HeatParams } from '../../src/plant/params.ts';

export type TwoNodes = Pick<HeatParams, 'winding_J_K' | 'windingHousing_K_W' | 'housing_J_K' | 'housingAir_K_W'>;

/** Temperatures of winding and housing above the air [K] after t_s from cold; `power_W` may hang on time and winding. */
export function warmedByOdex(p: TwoNodes, power_W: (t_s: number, winding_K: number) => number, t_s: number): number[] {
  const f = (t: number, [w, h]: number[]): number[] => {
    const across = (w - h) / p.windingHousing_K_W;
    return [(power_W(t, w) - across) / p.winding_J_K, (across - h / p.housingAir_K_W) / p.housing_J_K];
  };
  const solver = new Solver(2);
  solver.absoluteTolerance = 1e-10;
  solver.relativeTolerance = 1e-10;
  return solver.solve(f, 0, [0, 0], t_s).y;
}
