/**
 * The part of npm odex that our tests call. The package points its types at its TypeScript source, which does not
 * compile under our stricter flags; tsconfig.json maps the name here, for the compiler only.
 */
export declare class Solver {
  constructor(dimension: number);
  absoluteTolerance: number | number[];
  relativeTolerance: number | number[];
  /** Integrates y' = f(t, y) from t0 to t1 and returns the state there. */
  solve(f: (t: number, y: number[]) => number[], t0: number, y0: number[], t1: number): { y: number[] };
}
