/** Every drill that a scenario or the page can ask for, by name. */
import type { DrillParams } from '../params.ts';
import { BENCH_18 } from './bench-18.ts';
import { HEAVY_36 } from './heavy-36.ts';
import { LIGHT_12 } from './light-12.ts';
import { SLOTLESS_24, SLOTLESS_36 } from './slotless.ts';

const ALL = [BENCH_18, LIGHT_12, HEAVY_36, SLOTLESS_24, SLOTLESS_36];

export const PRESETS: Readonly<Record<string, DrillParams>> = Object.freeze(
  Object.fromEntries(ALL.map((drill) => [drill.name, drill])),
);

/** Names of the presets, in the order in which they are shown. */
export function presetNames(): readonly string[] {
  return Object.keys(PRESETS);
}
