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
  cellLost: row('cellLost', 0, 0.9, false, '', 'share of its capacity that one cell has lost'),
  cellOhmMore: row('cellOhmMore', 0, 50, false, '', 'resistance that one cell has gained, over that of a whole one'),
  cellsCold: row('cellsCold', 0, 80, false, 'K', 'by how much the cells are colder'),
  contactOhm: row('contactOhm', 0, 1, false, 'ohm', 'resistance that pack terminals and contact have gained'),
  packOff: row('packOff', 0, 1, true, '', '1: the switch in the pack is open without a cause'),
  contactOff: row('contactOff', 0, 1, true, '', '1: the trigger contact stands off'),
  linkLost: row('linkLost', 0, 0.95, false, '', 'share of the link capacitance that is lost'),
  linkEsrMore: row(
    'linkEsrMore',
    0,
    10,
    false,
    '',
    'series resistance that the link capacitance has gained, over a new one',
  ),
  deadMoreA: row('deadMoreA', 0, 10e-6, false, 's', 'by how much the dead time of leg A is longer'),
  deadMoreB: row('deadMoreB', 0, 10e-6, false, 's', 'by how much the dead time of leg B is longer'),
  deadMoreC: row('deadMoreC', 0, 10e-6, false, 's', 'by how much the dead time of leg C is longer'),
  gateLessA: row('gateLessA', 0, 15, false, 'V', 'gate voltage that leg A lacks'),
  gateLessB: row('gateLessB', 0, 15, false, 'V', 'gate voltage that leg B lacks'),
  gateLessC: row('gateLessC', 0, 15, false, 'V', 'gate voltage that leg C lacks'),
  phaseOhmA: row('phaseOhmA', 0, 0.5, false, 'ohm', 'resistance in the wire of leg A'),
  phaseOhmB: row('phaseOhmB', 0, 0.5, false, 'ohm', 'resistance in the wire of leg B'),
  phaseOhmC: row('phaseOhmC', 0, 0.5, false, 'ohm', 'resistance in the wire of leg C'),
  toMinusA: row('toMinusA', 0, 100, false, 'S', 'conductance from the output of leg A to minus'),
  toMinusB: row('toMinusB', 0, 100, false, 'S', 'conductance from the output of leg B to minus'),
  toMinusC: row('toMinusC', 0, 100, false, 'S', 'conductance from the output of leg C to minus'),
  motorHot: row('motorHot', 0, 150, false, 'K', 'by how much the motor has been made hotter'),
  bearingMore: row('bearingMore', 0, 0.2, false, 'N·m', 'dry friction that the bearings of the rotor have gained'),
  gearOut: row('gearOut', 0, 1, true, '', '1: the gear has jumped out'),
  clutchLost: row('clutchLost', 0, 0.95, false, '', 'share of its torque that the clutch has lost'),
  jammed: row('jammed', 0, 200, false, 'N·m', 'torque with which the chuck is jammed'),
  loadLost: row('loadLost', 0, 1, false, '', 'share of the load that is gone'),
  playMore: row('playMore', 0, 0.3, false, 'rad', 'half of the free play that the gearbox has gained'),
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
    const { low, high, whole, slot: at } = DAMAGE[name];
    const within = value > low ? Math.min(value, high) : low;
    this.x[slot(at)] = whole ? Math.round(within) : within;
  }

  /** Present value of one damage. */
  get(name: DamageName): number {
    return this.x[slot(DAMAGE[name].slot)];
  }
}
