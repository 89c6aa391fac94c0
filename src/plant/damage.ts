/** What can be broken in a drill, and how much. The values live in the plant vector, so a snapshot has them too. */
import { requireRange } from '../units/checks.ts';
import { type SlotName, slot } from './slots.ts';

/** Bits of the slots brokenA, brokenB, brokenC. */
export const BROKEN = Object.freeze({ highOpen: 1, highShort: 2, lowOpen: 4, lowShort: 8, wireOpen: 16 });

interface DamageRow {
  readonly slot: SlotName;
  readonly low: number;
  readonly high: number;
  readonly whole: boolean;
  readonly unit: string;
  readonly doc: string;
}

const row = (name: SlotName, low: number, high: number, whole: boolean, unit: string, doc: string): DamageRow =>
  Object.freeze({ slot: name, low, high, whole, unit, doc });

/** Everything that can be damaged, with its range. */
export const DAMAGE = Object.freeze({
  legA: row('brokenA', 0, 31, true, '', 'leg A: sum of BROKEN'),
  legB: row('brokenB', 0, 31, true, '', 'leg B: sum of BROKEN'),
  legC: row('brokenC', 0, 31, true, '', 'leg C: sum of BROKEN'),
  wiring: row('wiring', 0, 3, true, '', 'phases at the legs: 0 as drawn, 1 A and B swapped, 2 B and C, 3 A and C'),
  turnsShorted: row('turnsShorted', 0, 0.5, false, '', 'share of the turns of phase A that are shorted'),
  shortOhm: row('shortOhm', 0, 10, false, 'ohm', 'resistance of that short'),
  fluxLost: row('fluxLost', 0, 0.9, false, '', 'share of the magnet flux that is lost'),
});
export type DamageName = keyof typeof DAMAGE;

export class Damage {
  private readonly x: Float64Array;

  constructor(state: Float64Array) {
    this.x = state;
  }

  /** Sets one damage; in force from the next update on. Throws RangeError with name, value and range. */
  set(name: DamageName, value: number): void {
    const { low, high, whole, unit, slot: at } = DAMAGE[name];
    requireRange(name, value, low, high, unit);
    if (whole && !Number.isInteger(value)) throw new RangeError(`${name} is ${value}; allowed is a whole number`);
    this.x[slot(at)] = value;
  }

  /** Present value of one damage. */
  get(name: DamageName): number {
    return this.x[slot(DAMAGE[name].slot)];
  }
}
