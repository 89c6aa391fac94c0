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
  /** The value is a sum of bits: two faults of the same row are joined, not added. */ readonly bits: boolean;
}

const row = (name: SlotName, low: number, high: number, whole: boolean, unit: string, doc: string): DamageRow =>
  Object.freeze({ slot: name, low, high, whole, unit, doc, bits: false });
const bits = (name: SlotName, high: number, doc: string): DamageRow =>
  Object.freeze({ ...row(name, 0, high, true, '', doc), bits: true });

/** Everything that can be damaged, with its range; 0 is whole. */
export const DAMAGE = Object.freeze({
  legA: bits('brokenA', 31, 'leg A: sum of BROKEN'),
  legB: bits('brokenB', 31, 'leg B: sum of BROKEN'),
  legC: bits('brokenC', 31, 'leg C: sum of BROKEN'),
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

  /** The same for a sum of several faults: beyond the range it stops at the end of it. Never throws. */
  put(name: DamageName, value: number): void {
    const { low, high, slot: at } = DAMAGE[name];
    this.x[slot(at)] = value > low ? Math.min(value, high) : low;
  }

  /** Present value of one damage. */
  get(name: DamageName): number {
    return this.x[slot(DAMAGE[name].slot)];
  }
}
