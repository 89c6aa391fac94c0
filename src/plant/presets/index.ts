/** Every drill that a scenario or the page can ask for, by name. */
import type { DrillParams } from '../params.ts';
import { BENCH_18 } from './bench-18.ts';

export const PRESETS: Readonly<Record<string, DrillParams>> = Object.freeze({ [BENCH_18.name]: BENCH_18 });

/** Names of the presets, in the order in which they are shown. */
export function presetNames(): readonly string[] {
  return Object.keys(PRESETS);
}
