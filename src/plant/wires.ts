/**
 * Two motor wires shorted together: two legs as one source for the winding, and where the energy in them goes.
 *
 * Model   a conductance between the outputs of two legs, between shunts and joints. Switches that are on, shorts to minus and
 *         that conductance are a resistive network with two nodes: v = u Vlink - R i. Of a network whose star point floats
 *         only differences count, so the mutual resistance m of both legs moves into the three phases, -m, -m and +m, and
 *         each phase stays a source behind a resistance of its own (legs.ts). With no switch on the two outputs float as
 *         one: nothing but a current round both flows, unless a diode of theirs and the third leg make a path.
 * Scheme  a diode beside a switch that is on counts as the line from zero to its present point until the next change of a
 *         switch. A broken wire of the two ends the short. Of several shorts the best one counts (shorts.ts).
 * Source  nodal analysis.
 */
import { legCurrent_A, PHASE_OF_LEG, phaseCurrent_A } from './axes.ts';
import { W } from './columns.ts';
import type { BridgeParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const DIODE = slot('diodeA');
const WIRING = slot('wiring');
const LINK_V = slot('link');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const SLOPE_A = slot('slopeAlpha');
const SLOPE_B = slot('slopeBeta');
const SUM_HEAT = slot('sumHeatA');
const POLE = slot('poleA');
const LOSS_SHUNT = slot('lossShunt');
const LOSS_FAULT = slot('lossFault');
const LOSS_DIODE = slot('lossDiode');
const LOSS_SWITCH = slot('lossSwitch');

const PAIR = work('pair');
const SIEMENS = work('pairS');
const FLOATS = work('pairFloats');
const MUTUAL = work('mutual');
const ROW = work('pairRow0');
const MINUS = work('minusA');
const DIODE_V = work('diode');
const ACROSS = work('acrossA');
const TOP_RAIL = work('topRail');
const TOP_V = work('topV');
const LOW_RAIL = work('lowRail');
const LOW_V = work('lowV');
const FROM_A = work('fromAlpha');
const FROM_B = work('fromBeta');
const HIGH_OHM = work('highA');
const LOW_OHM = work('lowA');
const PART = work('pairPart');
const HEAT = work('pairHeat');
const R_AA = work('pairAA');
const R_AB = work('pairAB');
const R_BB = work('pairBB');

/** First, second and third leg of each pair: A and B, B and C, A and C. */
const LEGS = Uint8Array.of(0, 0, 0, 0, 1, 2, 1, 2, 0, 0, 2, 1);
/** Parts of the network: high, low and short to minus of both legs, the short between them; four numbers each. */
const PARTS = 7;
const HIGH = 0;
const LOW = 1;
const TO_MINUS = 2;
const SHORT = 6;
/** Least resistance of a phase: none would mean that it is blocked [ohm]. */
const LEAST_OHM = 1e-9;
/** A diode current below this is not asked for [A]. */
const LEAST_A = 1;
/** What locating a zero leaves of a current [A]. */
const NONE_A = 1e-2;

/** Leg `which`, 0 to 2, of the pair that is shorted: its two, then the third. */
export function legOfPair(w: Float64Array, which: number): number {
  return LEGS[3 * w[PAIR] + which];
}

/** Leg k is one of two that are shorted together. */
export function inPair(w: Float64Array, k: number): boolean {
  return w[PAIR] > 0 && legOfPair(w, 2) !== k;
}

function gOf(leg: number, part: number): number {
  return ROW + 4 * (3 * leg + part);
}

/** Leaves the inverse of the conductances of both nodes in the scratch. */
function invert(w: Float64Array): void {
  const short = w[SIEMENS];
  const a = w[gOf(0, HIGH)] + w[gOf(0, LOW)] + w[gOf(0, TO_MINUS)];
  const b = w[gOf(1, HIGH)] + w[gOf(1, LOW)] + w[gOf(1, TO_MINUS)];
  const per = 1 / (a * b + short * (a + b));
  w[R_AA] = per * (b + short);
  w[R_AB] = per * short;
  w[R_BB] = per * (a + short);
}

/** Voltage of node 0 or 1 with the present currents, against minus. */
function node_V(x: Float64Array, w: Float64Array, node: number): number {
  const own = node === 0 ? w[R_AA] : w[R_BB];
  const ia = legCurrent_A(x, legOfPair(w, 0));
  const ib = legCurrent_A(x, legOfPair(w, 1));
  const push = x[LINK_V];
  const a = w[gOf(0, HIGH)] * push - ia;
  const b = w[gOf(1, HIGH)] * push - ib;
  return node === 0 ? own * a + w[R_AB] * b : w[R_AB] * a + own * b;
}

/** The diodes of a leg that is off beside one that is on. */
function addChord(x: Float64Array, w: Float64Array, p: BridgeParams, node: number): void {
  const v = node_V(x, w, node);
  const own = node === 0 ? w[R_AA] : w[R_BB];
  const low = (-w[DIODE_V] - v) / (p.diode_ohm + p.shunt_ohm + own);
  const high = (v - x[LINK_V] - w[DIODE_V]) / (p.diode_ohm + own);
  const leg = legOfPair(w, node);
  x[DIODE + leg] = low > LEAST_A ? -1 : high > LEAST_A ? 1 : 0;
  if (low > LEAST_A) w[gOf(node, LOW)] = 1 / (p.diode_ohm + p.shunt_ohm + w[DIODE_V] / low);
  else if (high > LEAST_A) w[gOf(node, HIGH)] = 1 / (p.diode_ohm + w[DIODE_V] / high);
}

/** Diodes of two outputs that float: 1 the high ones conduct, -1 the low ones, 0 none. */
function floating(x: Float64Array, w: Float64Array, thirdBlocked: boolean): number {
  const a = legOfPair(w, 0);
  const b = legOfPair(w, 1);
  const ic = legCurrent_A(x, legOfPair(w, 2));
  let side = x[DIODE + a];
  if (side !== x[DIODE + b] || (side === 0 && (ic > NONE_A || ic < -NONE_A))) side = ic > 0 ? 1 : ic < 0 ? -1 : 0;
  if (thirdBlocked) side = 0;
  x[DIODE + a] = side;
  x[DIODE + b] = side;
  return side;
}

/** Both diodes of a side, or the one of them that carries current. */
function addDiodes(x: Float64Array, w: Float64Array, p: BridgeParams, side: number): void {
  const part = side > 0 ? HIGH : LOW;
  const siemens = 1 / (p.diode_ohm + (side < 0 ? p.shunt_ohm : 0));
  w[gOf(0, part)] = siemens;
  w[gOf(1, part)] = siemens;
  invert(w);
  const ia = legCurrent_A(x, legOfPair(w, 0));
  const ib = legCurrent_A(x, legOfPair(w, 1));
  const va = -w[R_AA] * ia - w[R_AB] * ib;
  const vb = -w[R_AB] * ia - w[R_BB] * ib;
  if (side * va < 0) w[gOf(0, part)] = 0;
  else if (side * vb < 0) w[gOf(1, part)] = 0;
}

/**
 * Writes the phases of two shorted legs; `a` and `b` say with bits 1 high and 2 low which switches of them are on, `c` the
 * same of the third, with 4 for one that is blocked. True when the third phase is blocked by it.
 */
export function renewPair(x: Float64Array, w: Float64Array, p: BridgeParams, a: number, b: number, c: number): boolean {
  for (let n = 0; n < 4 * PARTS; n++) w[ROW + n] = 0;
  for (let node = 0; node < 2; node++) {
    const leg = legOfPair(w, node);
    const on = node === 0 ? a : b;
    w[gOf(node, HIGH)] = (on & 1) !== 0 ? 1 / w[HIGH_OHM + leg] : 0;
    w[gOf(node, LOW)] = (on & 2) !== 0 ? 1 / (w[LOW_OHM + leg] + p.shunt_ohm) : 0;
    w[gOf(node, TO_MINUS)] = w[MINUS + leg];
  }
  const short = w[SIEMENS];
  const anchored = a + b > 0 || w[gOf(0, TO_MINUS)] + w[gOf(1, TO_MINUS)] > 0;
  let side = 0;
  if (anchored) {
    invert(w);
    if (a === 0) addChord(x, w, p, 0);
    invert(w);
    if (b === 0) addChord(x, w, p, 1);
    invert(w);
  } else {
    side = floating(x, w, (c & 4) !== 0);
    if (side !== 0) {
      addDiodes(x, w, p, side);
      invert(w);
    } else {
      w[R_AA] = 0.25 / short;
      w[R_AB] = -0.25 / short;
      w[R_BB] = 0.25 / short;
    }
  }
  const hA = anchored ? w[gOf(0, HIGH)] : 0;
  const hB = anchored ? w[gOf(1, HIGH)] : 0;
  const both = side > 0 ? 1 : side < 0 ? 0 : 0.5;
  const uA = anchored ? w[R_AA] * hA + w[R_AB] * hB : both;
  const uB = anchored ? w[R_AB] * hA + w[R_BB] * hB : both;
  const wiring = 3 * x[WIRING];
  const fa = PHASE_OF_LEG[wiring + legOfPair(w, 0)];
  const fb = PHASE_OF_LEG[wiring + legOfPair(w, 1)];
  const fc = PHASE_OF_LEG[wiring + legOfPair(w, 2)];
  w[W.rail + fa] = uA;
  w[W.rail + fb] = uB;
  w[W.offset + fa] = side * w[DIODE_V];
  w[W.offset + fb] = side * w[DIODE_V];
  w[W.leg + fa] = Math.max(w[R_AA] - w[R_AB], LEAST_OHM);
  w[W.leg + fb] = Math.max(w[R_BB] - w[R_AB], LEAST_OHM);
  w[ACROSS + fa] = hA * (1 - uA) + hB * (1 - uB);
  const blocks = !anchored && side === 0;
  w[MUTUAL] = blocks || (c & 4) !== 0 ? 0 : w[R_AB];
  if (!blocks && (c & 4) === 0) w[W.leg + fc] += w[R_AB];
  // The diode that carries the whole current to the third leg ends with it.
  if (side !== 0) w[W.sign + fc] = -side;
  noteParts(w, uA, uB, anchored);
  w[FLOATS] = blocks ? 1 + (c & 3) : 0;
  if (blocks) bound(w, c);
  return blocks;
}

/** Voltage across every part as shares of link and both currents; of floating outputs against what their diodes lie at. */
function noteParts(w: Float64Array, uA: number, uB: number, anchored: boolean): void {
  for (let node = 0; node < 2; node++) {
    const u = node === 0 ? uA : uB;
    const ra = node === 0 ? w[R_AA] : w[R_AB];
    const rb = node === 0 ? w[R_AB] : w[R_BB];
    for (let part = HIGH; part <= TO_MINUS; part++) {
      const at = gOf(node, part);
      w[at + 1] = anchored ? (part === HIGH ? u - 1 : u) : 0;
      w[at + 2] = -ra;
      w[at + 3] = -rb;
    }
  }
  const at = ROW + 4 * SHORT;
  w[at] = w[SIEMENS];
  w[at + 1] = uA - uB;
  w[at + 2] = w[R_AB] - w[R_AA];
  w[at + 3] = w[R_BB] - w[R_AB];
}

/** Bounds of the third pole while both outputs are taken to lie at half the link. */
function bound(w: Float64Array, c: number): void {
  const on = (c & 3) !== 0;
  const drop = on ? w[DIODE_V] : 2 * w[DIODE_V];
  w[TOP_RAIL] = (c & 3) === 2 ? 0.5 : 1.5;
  w[LOW_RAIL] = (c & 3) === 1 ? 0.5 : -0.5;
  w[TOP_V] = drop;
  w[LOW_V] = -drop;
}

/** Current of a shunt of the pair, ahead_s after now, as it counts into the motor [A]. */
export function shuntOfPair_A(x: Float64Array, w: Float64Array, leg: number, ahead_s: number): number {
  const at = gOf(legOfPair(w, 0) === leg ? 0 : 1, LOW);
  const alpha = x[I_A] + ahead_s * x[SLOPE_A];
  const beta = x[I_B] + ahead_s * x[SLOPE_B];
  const ia = phaseCurrent_A(PHASE_OF_LEG[3 * x[WIRING] + legOfPair(w, 0)], alpha, beta);
  const ib = phaseCurrent_A(PHASE_OF_LEG[3 * x[WIRING] + legOfPair(w, 1)], alpha, beta);
  return -w[at] * (w[at + 1] * x[LINK_V] + w[at + 2] * ia + w[at + 3] * ib);
}

/** Books the poles and, of `total` joule, the heat of every part at the end of a stretch; w.pairHeat is that total. */
export function bookPair(x: Float64Array, w: Float64Array, shunt_ohm: number): void {
  const dt = w[W.part];
  const part = w[PART];
  const wiring = 3 * x[WIRING];
  const fa = PHASE_OF_LEG[wiring + legOfPair(w, 0)];
  const fb = PHASE_OF_LEG[wiring + legOfPair(w, 1)];
  const fc = PHASE_OF_LEG[wiring + legOfPair(w, 2)];
  const alpha = 0.5 * (w[FROM_A] + x[I_A]);
  const beta = 0.5 * (w[FROM_B] + x[I_B]);
  const ic = phaseCurrent_A(fc, alpha, beta);
  let shift = w[MUTUAL] * part * ic;
  // The third pole lies at its switch: the other two hang on it.
  if (w[FLOATS] > 1) shift = (w[FLOATS] === 2 ? part * x[LINK_V] : 0) - dt * w[W.sums + 19 + fc];
  for (let leg = 0; leg < 3; leg++) x[POLE + leg] += shift;

  const link2 = dt * w[W.sums + 3];
  const aa = dt * w[W.sums + 8 + fa];
  const bb = dt * w[W.sums + 8 + fb];
  const cc = dt * w[W.sums + 8 + fc];
  const ab = 0.5 * (cc - aa - bb);
  const linkA = part * x[LINK_V] * phaseCurrent_A(fa, alpha, beta);
  const linkB = part * x[LINK_V] * phaseCurrent_A(fb, alpha, beta);
  let rest = w[HEAT];
  for (let n = 0; n < PARTS; n++) {
    const at = ROW + 4 * n;
    const c0 = w[at + 1];
    const ca = w[at + 2];
    const cb = w[at + 3];
    const square = c0 * c0 * link2 + ca * ca * aa + cb * cb * bb + 2 * (ca * cb * ab + c0 * (ca * linkA + cb * linkB));
    const heat = w[at] * square;
    rest -= heat;
    if (n === SHORT || n % 3 === TO_MINUS) {
      x[LOSS_FAULT] += heat;
      continue;
    }
    const leg = legOfPair(w, n < 3 ? 0 : 1);
    const shunt = n % 3 === LOW ? heat * w[at] * shunt_ohm : 0;
    x[LOSS_SHUNT] += shunt;
    x[SUM_HEAT + leg] += heat - shunt;
    x[x[DIODE + leg] !== 0 ? LOSS_DIODE : LOSS_SWITCH] += heat - shunt;
  }
  // Thresholds of the diodes; nothing but rounding where switches are on.
  const carries = w[gOf(0, HIGH)] + w[gOf(0, LOW)] > 0 ? 0 : 1;
  x[SUM_HEAT + legOfPair(w, carries)] += rest;
  x[x[DIODE + legOfPair(w, carries)] !== 0 ? LOSS_DIODE : LOSS_SWITCH] += rest;
}
