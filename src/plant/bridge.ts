/**
 * Three legs: the mean pole voltages of a step in which no switch changes.
 *
 * Model   a switch that is on is a resistance both ways; with both off a diode conducts (threshold and slope), or the
 *         leg is blocked. A blocked leg is a bounded multiplier: its pole takes whatever voltage holds its current at
 *         zero, within -Vf .. Vdc + Vf; beyond that a diode takes over. Each low leg carries its shunt.
 * Scheme  modes are enumerated: solve with the present ones, see which bound is broken, change that leg, solve again.
 *         A diode whose current would change sign ends the step at the zero crossing.
 * Source  Acary, Bonnefon, Brogliato: Nonsmooth Modeling and Simulation for Switched Circuits, Springer 2011
 *         (from memory).
 */
import { AXIS_ALPHA, AXIS_BETA, phaseCurrent_A } from './gates.ts';
import type { BridgeParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const ON = slot('onA');
const DIODE = slot('diodeA');
const I0_A = slot('iAlpha');
const I0_B = slot('iBeta');
const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');

const I_A = work('iAlpha');
const I_B = work('iBeta');
const V_A = work('vAlpha');
const V_B = work('vBeta');
const POLE = work('poleA');
const MU = work('mu');
const LINK = work('link');
const INVERTER = work('inverter');
const PSI1_A = work('psiAlpha');
const PSI1_B = work('psiBeta');
const I1_A = work('i1Alpha');
const I1_B = work('i1Beta');

const ROOT_3_HALF = 0.8660254037844386;

/** Leg k is off and its diodes block. */
export function isBlocked(x: Float64Array, k: number): boolean {
  return x[ON + k] === 0 && x[DIODE + k] === 0;
}

/** Number of blocked legs; two blocked legs leave no path for a third one whose switches are off. */
export function countBlocked(x: Float64Array): number {
  if (x[ON] !== 0 && x[ON + 1] !== 0 && x[ON + 2] !== 0) return 0;
  let n = 0;
  for (let k = 0; k < 3; k++) if (isBlocked(x, k)) n++;
  if (n !== 2) return n;
  for (let k = 0; k < 3; k++) {
    if (x[ON + k] === 0 && x[DIODE + k] !== 0) {
      x[DIODE + k] = 0;
      return 3;
    }
  }
  return n;
}

/** The one blocked leg, when exactly one is. */
export function blockedLeg(x: Float64Array): number {
  return isBlocked(x, 0) ? 0 : isBlocked(x, 1) ? 1 : 2;
}

/** Mean current that the legs draw from the high rail. */
export function railCurrent(x: Float64Array, w: Float64Array): void {
  const a = w[I_A];
  const b = ROOT_3_HALF * w[I_B];
  let sum = 0;
  if (x[ON] === 1 || (x[ON] === 0 && x[DIODE] === 1)) sum += a;
  if (x[ON + 1] === 1 || (x[ON + 1] === 0 && x[DIODE + 1] === 1)) sum += b - 0.5 * a;
  if (x[ON + 2] === 1 || (x[ON + 2] === 0 && x[DIODE + 2] === 1)) sum -= b + 0.5 * a;
  w[INVERTER] = sum;
}

/** Mean voltage of a pole against the low rail at current i; a blocked leg shows its multiplier. */
function pole(on: number, diode: number, i: number, link: number, mu: number, p: BridgeParams): number {
  if (on === 1) return link - p.rds_ohm * i;
  if (on === -1) return -(p.rds_ohm + p.shunt_ohm) * i;
  if (diode === 1) return link + p.diode_V - p.diode_ohm * i;
  return diode === -1 ? -p.diode_V - (p.diode_ohm + p.shunt_ohm) * i : mu;
}

/** Pole voltages and the winding voltage in alpha-beta; the star point drops out. */
export function windingVoltage(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  const ia = w[I_A];
  const ib = ROOT_3_HALF * w[I_B];
  const link = w[LINK];
  const a = pole(x[ON], x[DIODE], ia, link, w[MU], p);
  const b = pole(x[ON + 1], x[DIODE + 1], ib - 0.5 * ia, link, w[MU], p);
  const c = pole(x[ON + 2], x[DIODE + 2], -ib - 0.5 * ia, link, w[MU], p);
  w[POLE] = a;
  w[POLE + 1] = b;
  w[POLE + 2] = c;
  w[V_A] = (2 * a - b - c) * 0.3333333333333333;
  w[V_B] = (b - c) * 0.5773502691896258;
}

/** A correction of the flux along a blocked phase, as pole voltage of that leg. */
export function raisePole(w: Float64Array, k: number, flux_Wb: number, dt_s: number): void {
  const v = (1.5 * flux_Wb) / dt_s;
  w[MU] += v;
  w[POLE + k] += v;
}

/**
 * With no current in any phase: the winding voltage that keeps it so, and the pole voltages that follow. The star
 * point hangs on the driven leg, or floats midway between the bounds.
 */
export function floatingVoltage(x: Float64Array, w: Float64Array, dt_s: number): void {
  const va = (w[PSI1_A] - x[PSI_A]) / dt_s;
  const vb = (w[PSI1_B] - x[PSI_B]) / dt_s;
  w[V_A] = va;
  w[V_B] = vb;
  w[I_A] = 0;
  w[I_B] = 0;
  let star = 0.5 * w[LINK];
  let low = 0;
  let high = 0;
  let driven = false;
  for (let k = 0; k < 3; k++) {
    const e = AXIS_ALPHA[k] * va + AXIS_BETA[k] * vb;
    if (e < low) low = e;
    if (e > high) high = e;
    if (!isBlocked(x, k)) {
      driven = true;
      star = (x[ON + k] === 1 ? w[LINK] : 0) - e;
    }
  }
  if (!driven) star -= 0.5 * (low + high);
  for (let k = 0; k < 3; k++) w[POLE + k] = star + AXIS_ALPHA[k] * va + AXIS_BETA[k] * vb;
}

/** Lets diodes take over where a blocked pole has left its bounds; true when a mode changed. */
export function releaseBlocked(x: Float64Array, w: Float64Array, p: BridgeParams): boolean {
  let changed = false;
  for (let k = 0; k < 3; k++) {
    if (!isBlocked(x, k)) continue;
    if (w[POLE + k] > w[LINK] + p.diode_V) {
      x[DIODE + k] = 1;
      changed = true;
    } else if (w[POLE + k] < -p.diode_V) {
      x[DIODE + k] = -1;
      changed = true;
    }
  }
  return changed;
}

/** The leg whose diode runs out of current first in the step just solved, or -1. */
export function exhaustedLeg(x: Float64Array, w: Float64Array): number {
  if (x[ON] !== 0 && x[ON + 1] !== 0 && x[ON + 2] !== 0) return -1;
  let leg = -1;
  let first = 1;
  for (let k = 0; k < 3; k++) {
    if (x[ON + k] !== 0 || x[DIODE + k] === 0) continue;
    // A high diode carries negative current, a low diode positive.
    if (phaseCurrent_A(k, w[I1_A], w[I1_B]) * x[DIODE + k] <= 0) continue;
    const share = zeroShare(x, w, k);
    if (leg < 0 || share < first) {
      leg = k;
      first = share;
    }
  }
  return leg;
}

/** Share of the solved step at which the current of leg k passes zero on a straight line; 0 if it starts beyond. */
export function zeroShare(x: Float64Array, w: Float64Array, k: number): number {
  const i0 = phaseCurrent_A(k, x[I0_A], x[I0_B]);
  const i1 = phaseCurrent_A(k, w[I1_A], w[I1_B]);
  return i0 * x[DIODE + k] >= 0 || i0 === i1 ? 0 : i0 / (i0 - i1);
}

/** Blocks leg k: its diode has run out of current. */
export function blockLeg(x: Float64Array, k: number): void {
  x[DIODE + k] = 0;
}
