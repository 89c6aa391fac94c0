/** Effects as most faults have them. */
import type { DamageName } from '../plant/damage.ts';
import type { Effect } from './entry.ts';

/** Damages of which each leg, phase or sensor has one: their names without the letter. */
type Stem = { [Name in DamageName]: Name extends `${infer Rest}A` ? Rest : never }[DamageName];

/** The damage of the leg that is asked for. */
export const perLeg = (stem: Stem): Effect['damage'] => ({ a: `${stem}A`, b: `${stem}B`, c: `${stem}C` });

/** A damage as large as the fault. */
export const sized = (damage: Effect['damage']): Effect => ({ damage, value: (size) => size });

/** A damage of this value while the fault is there, at any size. */
export const there = (damage: Effect['damage'], value: number): Effect => ({
  damage,
  value: (size) => (size > 0 ? value : 0),
});
