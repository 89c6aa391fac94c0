/** Reproducible normal noise. Source: Box, Muller, Ann. Math. Statist. 29(2), 1958 (from memory). */
import { seeded } from '../../support/seeded.ts';

/** Draws of mean 0 and deviation 1. */
export function gauss(seed: number): () => number {
  const draw = seeded(seed);
  return () => Math.sqrt(-2 * Math.log(1 - draw())) * Math.cos(2 * Math.PI * draw());
}
