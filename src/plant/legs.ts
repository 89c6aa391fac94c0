/**
 * The three legs as sources behind resistances, for the switches and diodes that conduct now.
 *
 * Model   a switch that is on is a resistance both ways; where none is on a diode conducts (threshold and slope), or the
 *         leg is blocked: its pole takes whatever voltage holds its current at zero, within -Vf .. Vdc + Vf, and beyond
 *         that a diode takes over. A broken wire is a blocked phase without bounds. Both switches of a leg on, by a
 *         short, is a divider across the link. Each low side carries its shunt.
 * Source  Acary, Bonnefon, Brogliato: Nonsmooth Modeling and Simulation for Switched Circuits, Springer 2011
 *         (from memory).
 */
import { legCurrent_A, PHASE_OF_LEG } from './axes.ts';
import { BROKEN } from './damage.ts';
import type { BridgeParams } from './params.ts';
import { LEAST_S } from './shorts.ts';
import { slot } from './slots.ts';
import { inPair, legOfPair, renewPair } from './wires.ts';
import { work } from './work.ts';

const ON = slot('onA');
const DIODE = slot('diodeA');
const BROKEN_A = slot('brokenA');
const WIRING = slot('wiring');
const FLOAT = slot('floatPole');
const LINK_V = slot('link');

const HIGH = work('highA');
const LOW = work('lowA');
const RAIL = work('railA');
const OFFSET = work('offsetA');
const LEG = work('legA');
const SHUNT = work('shuntA');
const SIGN = work('signA');
const ACROSS = work('acrossA');
const BLOCKED = work('blocked');
const DIODE_V = work('diode');
const JOINT_OHM = work('jointOhmA');
const JOINT = work('jointA');
const MINUS = work('minusA');
const SHORT = work('shortA');
const PAST = work('pastA');
const PAIR = work('pair');
const FLOATS = work('pairFloats');
const TOP_RAIL = work('topRail');
const TOP_V = work('topV');
const LOW_RAIL = work('lowRail');
const LOW_V = work('lowV');

/** Diode current below which it is not asked for beside a short [A]. */
const LEAST_A = 1;

/** The high switch of leg k conducts. */
export function highConducts(x: Float64Array, k: number): boolean {
  const broken = x[BROKEN_A + k];
  return (x[ON + k] === 1 && (broken & BROKEN.highOpen) === 0) || (broken & BROKEN.highShort) !== 0;
}

/** The low switch of leg k conducts. */
export function lowConducts(x: Float64Array, k: number): boolean {
  const broken = x[BROKEN_A + k];
  return (x[ON + k] === -1 && (broken & BROKEN.lowOpen) === 0) || (broken & BROKEN.lowShort) !== 0;
}

/** The wire from leg k to the motor is whole. */
export function wired(x: Float64Array, k: number): boolean {
  return (x[BROKEN_A + k] & BROKEN.wireOpen) === 0;
}

/** No current can flow from leg k: wire open, or no switch on, no short, and its diodes block. */
function isBlocked(x: Float64Array, w: Float64Array, k: number): boolean {
  if (!wired(x, k)) return true;
  return !highConducts(x, k) && !lowConducts(x, k) && x[DIODE + k] === 0 && w[MINUS + k] < LEAST_S;
}

/** Writes the phases as sources into the scratch. Two blocked phases leave no path for a third diode. */
export function renewLegs(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  let count = 0;
  let phaseBlocked = -1;
  w[TOP_RAIL] = 1;
  w[TOP_V] = w[DIODE_V];
  w[LOW_RAIL] = 0;
  w[LOW_V] = -w[DIODE_V];
  for (let k = 0; k < 3; k++) {
    const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
    if (inPair(w, k)) {
      clear(w, phase);
      continue;
    }
    let high = highConducts(x, k) ? 1 / w[HIGH + k] : 0;
    let low = lowConducts(x, k) ? 1 / (w[LOW + k] + p.shunt_ohm) : 0;
    const off = high + low === 0;
    // A short that carries next to nothing is left out of a leg that is off.
    const short = off && w[MINUS + k] < LEAST_S ? 0 : w[MINUS + k];
    if (off && short > 0) {
      const chord = diodeChord_S(x, w, p, k, short);
      high = chord < 0 ? -chord : 0;
      low = Math.max(chord, 0);
      x[DIODE + k] = high > 0 ? 1 : low > 0 ? -1 : 0;
    }
    const minus = low + short;
    const diode = x[DIODE + k];
    const both = high > 0 && minus > 0;
    w[SIGN + phase] = 0;
    w[ACROSS + phase] = both ? (high * minus) / (high + minus) : 0;
    w[PAST + phase] = both ? (high * short) / ((high + minus) * minus) : 0;
    w[SHORT + phase] = short > 0 ? short / (high + minus) : 0;
    w[JOINT + phase] = 0;
    w[OFFSET + phase] = 0;
    if (isBlocked(x, w, k)) {
      count++;
      phaseBlocked = phase;
      w[RAIL + phase] = 0;
      w[LEG + phase] = 0;
      w[SHUNT + phase] = 0;
    } else if (high + minus > 0) {
      w[RAIL + phase] = high / (high + minus);
      w[LEG + phase] = 1 / (high + minus);
      w[SHUNT + phase] = low > 0 && high === 0 ? (low / minus) * (low / minus) : 0;
    } else {
      w[RAIL + phase] = diode > 0 ? 1 : 0;
      w[OFFSET + phase] = diode * w[DIODE_V];
      w[LEG + phase] = p.diode_ohm + (diode < 0 ? p.shunt_ohm : 0);
      w[SHUNT + phase] = diode < 0 ? 1 : 0;
      w[SIGN + phase] = diode;
    }
  }
  if (w[PAIR] > 0) {
    const third = legOfPair(w, 2);
    const on = onBits(x, third) + (isBlocked(x, w, third) ? 4 : 0);
    if (renewPair(x, w, p, onBits(x, legOfPair(w, 0)), onBits(x, legOfPair(w, 1)), on) && on < 4) {
      count = 1;
      phaseBlocked = PHASE_OF_LEG[3 * x[WIRING] + third];
      clear(w, phaseBlocked);
    }
  }
  if (count === 2) stopThird(x, w);
  for (let k = 0; k < 3; k++) if (w[JOINT_OHM + k] > 0) addJoint(x, w, k);
  const before = w[BLOCKED];
  w[BLOCKED] = count >= 2 ? 3 : phaseBlocked;
  if (w[BLOCKED] !== before && count === 1) x[FLOAT] = 0.5 * x[LINK_V];
}

/** Switches of leg k that conduct: 1 high, 2 low. */
function onBits(x: Float64Array, k: number): number {
  return (highConducts(x, k) ? 1 : 0) + (lowConducts(x, k) ? 2 : 0);
}

/** No source and no resistance. */
function clear(w: Float64Array, phase: number): void {
  w[SIGN + phase] = 0;
  w[ACROSS + phase] = 0;
  w[PAST + phase] = 0;
  w[SHORT + phase] = 0;
  w[JOINT + phase] = 0;
  w[OFFSET + phase] = 0;
  w[RAIL + phase] = 0;
  w[LEG + phase] = 0;
  w[SHUNT + phase] = 0;
}

/**
 * Conductance of the diode that conducts beside a short to minus, 0 for none, below 0 for the high one. Its current is
 * not that of the phase, so the line from zero to its present point stands for it until the next change of a switch.
 */
function diodeChord_S(x: Float64Array, w: Float64Array, p: BridgeParams, k: number, short_S: number): number {
  const i = legCurrent_A(x, k);
  const drop = w[DIODE_V];
  const low = i - drop * short_S;
  if (low > LEAST_A) return 1 / (p.diode_ohm + p.shunt_ohm + drop / low);
  const high = -i - (x[LINK_V] + drop) * short_S;
  return high > LEAST_A ? -1 / (p.diode_ohm + drop / high) : 0;
}

/** A bad joint lies between the leg and its phase. */
function addJoint(x: Float64Array, w: Float64Array, k: number): void {
  const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
  if (w[LEG + phase] === 0) return;
  w[LEG + phase] += w[JOINT_OHM + k];
  w[JOINT + phase] = w[JOINT_OHM + k];
}

/** The third leg conducts through a diode alone: without a way back it carries nothing. */
function stopThird(x: Float64Array, w: Float64Array): void {
  for (let k = 0; k < 3; k++) {
    const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
    if (w[SIGN + phase] === 0) continue;
    x[DIODE + k] = 0;
    w[SIGN + phase] = 0;
    w[RAIL + phase] = 0;
    w[OFFSET + phase] = 0;
    w[LEG + phase] = 0;
    w[SHUNT + phase] = 0;
  }
}

const POLE = work('poleA');
const LINK = work('link1');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const I1_A = work('i1Alpha');
const I1_B = work('i1Beta');
const SHARE = work('share');
const ROOT_3_HALF = 0.8660254037844386;

/** Lets diodes take over where a blocked pole has left its bounds in the step that was solved last. */
export function releaseBlocked(x: Float64Array, w: Float64Array): void {
  if (w[PAIR] > 0 && w[FLOATS] > 0) {
    releasePair(x, w);
    return;
  }
  for (let k = 0; k < 3; k++) {
    if (!wired(x, k) || inPair(w, k) || !isBlocked(x, w, k)) continue;
    const pole = w[POLE + PHASE_OF_LEG[3 * x[WIRING] + k]];
    if (pole > w[LINK] + w[DIODE_V]) x[DIODE + k] = 1;
    else if (pole < -w[DIODE_V]) x[DIODE + k] = -1;
  }
}

/** The third leg and two shorted outputs that floated find a path through their diodes. */
function releasePair(x: Float64Array, w: Float64Array): void {
  const third = legOfPair(w, 2);
  if (!wired(x, third)) return;
  const pole = w[POLE + PHASE_OF_LEG[3 * x[WIRING] + third]];
  const up = pole > w[TOP_RAIL] * w[LINK] + w[TOP_V];
  if (!up && !(pole < w[LOW_RAIL] * w[LINK] + w[LOW_V])) return;
  if (onBits(x, third) === 0) x[DIODE + third] = up ? 1 : -1;
  x[DIODE + legOfPair(w, 0)] = up ? -1 : 1;
  x[DIODE + legOfPair(w, 1)] = up ? -1 : 1;
}

/** Current of a phase at the start and at the end of the step that was solved last: its share of zero, or 2 for none. */
function zeroOf(x: Float64Array, w: Float64Array, phase: number): number {
  const r0 = ROOT_3_HALF * x[I_B];
  const r1 = ROOT_3_HALF * w[I1_B];
  const i0 = phase === 0 ? x[I_A] : (phase === 1 ? r0 : -r0) - 0.5 * x[I_A];
  const i1 = phase === 0 ? w[I1_A] : (phase === 1 ? r1 : -r1) - 0.5 * w[I1_A];
  // A high diode carries negative current, a low diode positive.
  if (i1 * w[SIGN + phase] <= 0) return 2;
  return i0 * w[SIGN + phase] >= 0 ? 0 : i0 / (i0 - i1);
}

/** The leg whose diode runs out of current first in the step that was solved last, or -1; w.share says when. */
export function exhaustedLeg(x: Float64Array, w: Float64Array): number {
  let leg = -1;
  w[SHARE] = 2;
  for (let k = 0; k < 3; k++) {
    const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
    if (w[SIGN + phase] === 0) continue;
    const share = zeroOf(x, w, phase);
    if (share < w[SHARE]) {
      w[SHARE] = share;
      leg = k;
    }
  }
  return leg;
}

/** Leaves in w.share where in the step that was solved last, above 1 for later, leg k has no current, on a straight line. */
export function zeroShare(x: Float64Array, w: Float64Array, k: number): void {
  const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
  const r0 = ROOT_3_HALF * x[I_B];
  const r1 = ROOT_3_HALF * w[I1_B];
  const i0 = phase === 0 ? x[I_A] : (phase === 1 ? r0 : -r0) - 0.5 * x[I_A];
  const i1 = phase === 0 ? w[I1_A] : (phase === 1 ? r1 : -r1) - 0.5 * w[I1_A];
  w[SHARE] = i0 === i1 ? 1 : i0 / (i0 - i1);
}

/** Blocks leg k: its diode has run out of current. */
export function blockLeg(x: Float64Array, w: Float64Array, k: number): void {
  x[DIODE + k] = 0;
  if (w[PAIR] === 0) return;
  // Two shorted outputs without a switch carried it too.
  const a = legOfPair(w, 0);
  const b = legOfPair(w, 1);
  if (onBits(x, a) + onBits(x, b) > 0) return;
  x[DIODE + a] = 0;
  x[DIODE + b] = 0;
}
