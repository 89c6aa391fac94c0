/** What the drums of the hand controls offer. All of it is illustrative: what a hand of usual strength does, and more. */
import { WORDS } from './words.ts';

/** Torques that a hand on the chuck may hold [N·m]: a light touch to two hands. */
export const GRIPS_NM = [2, 4, 6.5, 8, 12, 30] as const;
/** Forces with which the bit is pushed [N]: none, a hand, a body. */
export const PUSHES_N = [0, 20, 40, 60, 80, 100, 120, 150, 200, 250, 300, 400, 600] as const;
/** Firmness of the hold on the tool, as a share of the wrist of the drill; 0 is a vice. */
export const WRISTS = [
  { name: WORDS.wrists.loose, firm: 0.3 },
  { name: WORDS.wrists.light, firm: 0.6 },
  { name: WORDS.wrists.usual, firm: 1 },
  { name: WORDS.wrists.firm, firm: 1.6 },
  { name: WORDS.wrists.braced, firm: 3 },
  { name: WORDS.wrists.vice, firm: 0 },
] as const;

/** Place of the value that is nearest to one. */
export function nearest(values: readonly number[], value: number): number {
  let best = 0;
  for (const [k, v] of values.entries()) if (Math.abs(v - value) < Math.abs(values[best] - value)) best = k;
  return best;
}

/** Labels of a clutch with so many settings: they rise, and the last one locks it. */
export function clutchNames(settings: number, locked: string): string[] {
  return [...Array.from({ length: settings }, (_, k) => String(k + 1)), locked];
}

/** Setting at a place of the drum, 0 for locked. */
export function clutchAt(index: number, settings: number): number {
  return index >= settings ? 0 : index + 1;
}
