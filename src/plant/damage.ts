/** What can be broken in a drill, and how much. The values live in the plant vector, so a snapshot has them too. */
import { requireRange } from '../units/checks.ts';
import { SLOTS, type SlotName, slot } from './slots.ts';

/** Bits of the slots brokenA, brokenB, brokenC. */
export const BROKEN = Object.freeze({ highOpen: 1, highShort: 2, lowOpen: 4, lowShort: 8, wireOpen: 16 });
/** Bits of a channel that stands still: at the low end, at the high end, or where it was. */
export const STUCK = Object.freeze({ low: 1, high: 2, frozen: 4 });
/** Bits of a thermistor: open, short, or off its place and in the air. */
export const NTC = Object.freeze({ open: 1, short: 2, off: 4 });
/** Bits of the trigger wiper: open on a pull-down, on a pull-up, or at the released or the pulled end of its track. */
export const WIPER = Object.freeze({ down: 1, up: 2, released: 4, pulled: 8 });
/** Bits of the direction switch: reads the other way, reads neither, reads both. */
export const WAY = Object.freeze({ turned: 1, open: 2, both: 4 });

interface DamageRow {
  readonly slot: SlotName;
  readonly low: number;
  readonly high: number;
  readonly whole: boolean;
  /** The value is a sum of bits: two faults of the same row are joined, not added. */ readonly bits: boolean;
}

const row = (name: SlotName, low: number, high: number): DamageRow =>
  Object.freeze({ slot: name, low, high, whole: false, bits: false });
const whole = (name: SlotName, high: number): DamageRow => Object.freeze({ ...row(name, 0, high), whole: true });
const bits = (name: SlotName, high: number): DamageRow => Object.freeze({ ...whole(name, high), bits: true });

/** Everything that can be damaged, with its range; 0 is whole. What each is, and its unit, stands with its slot. */
export const DAMAGE = Object.freeze({
  legA: bits('brokenA', 31),
  legB: bits('brokenB', 31),
  legC: bits('brokenC', 31),
  wiring: whole('wiring', 3),
  turnsShorted: row('turnsShorted', 0, 0.5),
  shortOhm: row('shortOhm', 0, 10),
  fluxLost: row('fluxLost', 0, 0.9),
  cellLost: row('cellLost', 0, 0.9),
  cellOhmMore: row('cellOhmMore', 0, 50),
  cellsCold: row('cellsCold', 0, 80),
  contactOhm: row('contactOhm', 0, 1),
  packOff: whole('packOff', 1),
  contactOff: whole('contactOff', 1),
  linkLost: row('linkLost', 0, 0.95),
  linkEsrMore: row('linkEsrMore', 0, 10),
  deadMoreA: row('deadMoreA', -5e-6, 10e-6),
  deadMoreB: row('deadMoreB', -5e-6, 10e-6),
  deadMoreC: row('deadMoreC', -5e-6, 10e-6),
  gateLessA: row('gateLessA', 0, 15),
  gateLessB: row('gateLessB', 0, 15),
  gateLessC: row('gateLessC', 0, 15),
  phaseOhmA: row('phaseOhmA', 0, 0.5),
  phaseOhmB: row('phaseOhmB', 0, 0.5),
  phaseOhmC: row('phaseOhmC', 0, 0.5),
  toMinusA: row('toMinusA', 0, 100),
  toMinusB: row('toMinusB', 0, 100),
  toMinusC: row('toMinusC', 0, 100),
  abShorted: row('abShorted', 0, 200),
  bcShorted: row('bcShorted', 0, 200),
  acShorted: row('acShorted', 0, 200),
  motorHot: row('motorHot', 0, 150),
  bearingMore: row('bearingMore', 0, 0.2),
  gearOut: whole('gearOut', 1),
  clutchLost: row('clutchLost', 0, 0.95),
  jammed: row('jammed', 0, 200),
  loadLost: row('loadLost', 0, 1),
  playMore: row('playMore', 0, 0.3),
  shuntOffA: row('shuntOffA', -100, 100),
  shuntOffB: row('shuntOffB', -100, 100),
  shuntOffC: row('shuntOffC', -100, 100),
  shuntGainA: row('shuntGainA', -1, 1),
  shuntGainB: row('shuntGainB', -1, 1),
  shuntGainC: row('shuntGainC', -1, 1),
  shuntDriftA: row('shuntDriftA', -2, 2),
  shuntDriftB: row('shuntDriftB', -2, 2),
  shuntDriftC: row('shuntDriftC', -2, 2),
  shuntNoise: row('shuntNoise', 0, 50),
  shuntClip: row('shuntClip', 0, 0.95),
  stuckA: bits('stuckA', 7),
  stuckB: bits('stuckB', 7),
  stuckC: bits('stuckC', 7),
  stuckLink: bits('stuckLink', 7),
  stuckGyro: bits('stuckGyro', 7),
  sensesSwapped: whole('sensesSwapped', 3),
  sampleLate: row('sampleLate', 0, 10e-6),
  sampleJitter: row('sampleJitter', 0, 2e-6),
  linkGain: row('linkGain', -0.95, 1),
  linkOff: row('linkOff', -50, 50),
  referenceOff: row('referenceOff', -0.5, 0.5),
  ntcBridge: bits('ntcBridge', 7),
  ntcMotor: bits('ntcMotor', 7),
  ntcBridgeSlow: row('ntcBridgeSlow', 0, 1000),
  ntcMotorSlow: row('ntcMotorSlow', 0, 1000),
  hallStuckA: bits('hallStuckA', 3),
  hallStuckB: bits('hallStuckB', 3),
  hallStuckC: bits('hallStuckC', 3),
  hallsSwapped: whole('hallsSwapped', 3),
  hallTurnA: row('hallTurnA', -1, 1),
  hallTurnB: row('hallTurnB', -1, 1),
  hallTurnC: row('hallTurnC', -1, 1),
  hallGlitchA: row('hallGlitchA', 0, 1),
  hallGlitchB: row('hallGlitchB', 0, 1),
  hallGlitchC: row('hallGlitchC', 0, 1),
  wiper: bits('wiper', 15),
  wiperNoise: row('wiperNoise', 0, 0.5),
  wornSpot: row('wornSpot', 0, 1),
  wayBad: bits('wayBad', 7),
  wayBounce: row('wayBounce', 0, 1),
  contactWelded: whole('contactWelded', 1),
  boardReset: row('boardReset', 0, 10),
  outputFrozen: whole('outputFrozen', 1),
  answerLate: row('answerLate', 0, 0.1),
  clockSkew: row('clockSkew', -0.2, 0.2),
  framesLost: row('framesLost', 0, 1),
  framesBurst: row('framesBurst', 0, 1),
  framesLate: row('framesLate', 0, 1),
  framesDoubled: row('framesDoubled', 0, 1),
  framesTurned: row('framesTurned', 0, 1),
  framesCorrupt: row('framesCorrupt', 0, 1),
  framesWrong: row('framesWrong', 0, 1),
});
export type DamageName = keyof typeof DAMAGE;

export class Damage {
  private readonly x: Float64Array;

  constructor(state: Float64Array) {
    this.x = state;
  }

  /** Sets one damage; in force from the next update on. Throws RangeError with name, value and range. */
  set(name: DamageName, value: number): void {
    const { low, high, whole, slot: at } = DAMAGE[name];
    const place = slot(at);
    requireRange(name, value, low, high, SLOTS[place].unit);
    if (whole && !Number.isInteger(value)) throw new RangeError(`${name} is ${value}; allowed is a whole number`);
    this.x[place] = value;
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
