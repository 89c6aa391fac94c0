/** What can be broken in a drill, and how much. The values live in the plant vector, so a snapshot has them too. */
import { requireRange } from '../units/checks.ts';
import { type SlotName, slot } from './slots.ts';

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
  shuntOffA: row('shuntOffA', -100, 100, false, 'A', 'offset that current channel A has gained'),
  shuntOffB: row('shuntOffB', -100, 100, false, 'A', 'offset that current channel B has gained'),
  shuntOffC: row('shuntOffC', -100, 100, false, 'A', 'offset that current channel C has gained'),
  shuntGainA: row('shuntGainA', -1, 1, false, '', 'gain that current channel A has gained, as a share'),
  shuntGainB: row('shuntGainB', -1, 1, false, '', 'gain that current channel B has gained, as a share'),
  shuntGainC: row('shuntGainC', -1, 1, false, '', 'gain that current channel C has gained, as a share'),
  shuntDriftA: row(
    'shuntDriftA',
    -2,
    2,
    false,
    'A/K',
    'offset of current channel A for each kelvin of the sink above 25 °C',
  ),
  shuntDriftB: row(
    'shuntDriftB',
    -2,
    2,
    false,
    'A/K',
    'offset of current channel B for each kelvin of the sink above 25 °C',
  ),
  shuntDriftC: row(
    'shuntDriftC',
    -2,
    2,
    false,
    'A/K',
    'offset of current channel C for each kelvin of the sink above 25 °C',
  ),
  shuntNoise: row('shuntNoise', 0, 50, false, 'A', 'noise that the current channels have gained, deviation'),
  shuntClip: row(
    'shuntClip',
    0,
    0.95,
    false,
    '',
    'share of their range that the current amplifiers have lost at either end',
  ),
  stuckA: bits('stuckA', 7, 'current channel A stands still: sum of STUCK'),
  stuckB: bits('stuckB', 7, 'current channel B stands still: sum of STUCK'),
  stuckC: bits('stuckC', 7, 'current channel C stands still: sum of STUCK'),
  stuckLink: bits('stuckLink', 7, 'link channel stands still: sum of STUCK'),
  stuckGyro: bits('stuckGyro', 7, 'gyro channel stands still: sum of STUCK'),
  sensesSwapped: row(
    'sensesSwapped',
    0,
    3,
    true,
    '',
    'shunts at the current channels: 0 as drawn, 1 A and B swapped, 2 B and C, 3 A and C',
  ),
  sampleLate: row('sampleLate', 0, 10e-6, false, 's', 'by how much the converter holds the currents later'),
  sampleJitter: row('sampleJitter', 0, 2e-6, false, 's', 'deviation that this moment has gained'),
  linkGain: row('linkGain', -0.95, 1, false, '', 'gain that the link channel has gained, as a share'),
  linkOff: row('linkOff', -50, 50, false, 'V', 'offset that the link channel has gained'),
  referenceOff: row(
    'referenceOff',
    -0.5,
    0.5,
    false,
    '',
    'deviation that the reference of the converter has gained, as a share',
  ),
  ntcBridge: bits('ntcBridge', 7, 'thermistor at the switches: sum of NTC'),
  ntcMotor: bits('ntcMotor', 7, 'thermistor in the winding: sum of NTC'),
  ntcBridgeSlow: row(
    'ntcBridgeSlow',
    0,
    1000,
    false,
    's',
    'time constant with which the thermistor at the switches follows',
  ),
  ntcMotorSlow: row(
    'ntcMotorSlow',
    0,
    1000,
    false,
    's',
    'time constant with which the thermistor in the winding follows',
  ),
  hallStuckA: bits('hallStuckA', 3, 'line of Hall A: 1 stands at 0, 2 at 1'),
  hallStuckB: bits('hallStuckB', 3, 'line of Hall B: 1 stands at 0, 2 at 1'),
  hallStuckC: bits('hallStuckC', 3, 'line of Hall C: 1 stands at 0, 2 at 1'),
  hallsSwapped: row(
    'hallsSwapped',
    0,
    3,
    true,
    '',
    'Halls at the lines: 0 as drawn, 1 A and B swapped, 2 B and C, 3 A and C',
  ),
  hallTurnA: row('hallTurnA', -1, 1, false, 'rad', 'electrical angle by which Hall A sits too far on'),
  hallTurnB: row('hallTurnB', -1, 1, false, 'rad', 'electrical angle by which Hall B sits too far on'),
  hallTurnC: row('hallTurnC', -1, 1, false, 'rad', 'electrical angle by which Hall C sits too far on'),
  hallGlitchA: row(
    'hallGlitchA',
    0,
    1,
    false,
    '',
    'share of the updates in which the line of Hall A reads the opposite',
  ),
  hallGlitchB: row(
    'hallGlitchB',
    0,
    1,
    false,
    '',
    'share of the updates in which the line of Hall B reads the opposite',
  ),
  hallGlitchC: row(
    'hallGlitchC',
    0,
    1,
    false,
    '',
    'share of the updates in which the line of Hall C reads the opposite',
  ),
  wiper: bits('wiper', 15, 'trigger wiper: sum of WIPER'),
  wiperNoise: row('wiperNoise', 0, 0.5, false, '', 'noise of the wiper, deviation, as a share of the travel'),
  wornSpot: row('wornSpot', 0, 1, false, '', 'width of the worn spot in the travel of the trigger'),
  wayBad: bits('wayBad', 7, 'direction switch: sum of WAY'),
  wayBounce: row('wayBounce', 0, 1, false, 's', 'time for which the direction switch bounces after each change'),
  contactWelded: row('contactWelded', 0, 1, true, '', '1: the trigger contact does not open'),
  boardReset: row(
    'boardReset',
    0,
    10,
    false,
    's',
    'time for which the board is down after the reset that a rise of this calls for',
  ),
  outputFrozen: row('outputFrozen', 0, 1, true, '', '1: the timer takes no new command'),
  answerLate: row('answerLate', 0, 0.1, false, 's', 'by how much every command is later; never more than 47 ticks'),
  clockSkew: row('clockSkew', -0.2, 0.2, false, '', 'by how much the clock of the board is fast, as a share'),
  framesLost: row('framesLost', 0, 1, false, '', 'share of the frames that are lost one by one, either way'),
  framesBurst: row('framesBurst', 0, 1, false, '', 'share of the time for which the link is down, in bursts'),
  framesLate: row('framesLate', 0, 1, false, '', 'share of the commands that are one to three ticks late'),
  framesDoubled: row('framesDoubled', 0, 1, false, '', 'share of the Sense frames that come twice'),
  framesTurned: row('framesTurned', 0, 1, false, '', 'share of the Sense frames that come after the next one'),
  framesCorrupt: row('framesCorrupt', 0, 1, false, '', 'share of the frames that the checksum refuses, either way'),
  framesWrong: row(
    'framesWrong',
    0,
    1,
    false,
    '',
    'share of the frames with a wrong bit that the checksum does not see, either way',
  ),
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
