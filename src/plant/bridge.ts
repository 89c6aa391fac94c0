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
import { AXIS_ALPHA, AXIS_BETA } from './axes.ts';
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
const DT = work('dt');
const FAR = work('far');
const SHARE = work('share');
const PHASE = work('phaseA');
const RAIL = work('railA');
const OFFSET = work('offsetA');
const LEG_R = work('legA');
const LINK_IDLE = work('linkIdle');
const LINK_OHM = work('linkOhm');
const POLE = work('poleA');
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

/**
 * Each leg as a source behind a resistance, pole = rail Vlink + offset - r i, for the modes it is in: `rail` is 1 on the
 * high rail, else 0. A blocked leg has its multiplier as offset.
 */
export function legSources(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  for (let k = 0; k < 3; k++) {
    const on = x[ON + k];
    const diode = x[DIODE + k];
    const high = on === 1 || (on === 0 && diode === 1);
    const low = on === -1 || (on === 0 && diode === -1);
    w[RAIL + k] = high ? 1 : 0;
    w[OFFSET + k] = on !== 0 ? 0 : diode === 0 ? 0.5 * w[LINK] : diode * p.diode_V;
    w[LEG_R + k] = (on !== 0 ? p.rds_ohm : diode === 0 ? 0 : p.diode_ohm) + (low ? p.shunt_ohm : 0);
  }
}

/** For the present guess of the mean current: phase currents, link, pole voltages, winding voltage in alpha-beta. */
export function legVoltages(w: Float64Array): void {
  const a = w[I_A];
  const b = ROOT_3_HALF * w[I_B];
  const ib = b - 0.5 * a;
  const ic = -b - 0.5 * a;
  const drawn = w[RAIL] * a + w[RAIL + 1] * ib + w[RAIL + 2] * ic;
  const link = w[LINK_IDLE] - w[LINK_OHM] * drawn;
  const va = w[RAIL] * link + w[OFFSET] - w[LEG_R] * a;
  const vb = w[RAIL + 1] * link + w[OFFSET + 1] - w[LEG_R + 1] * ib;
  const vc = w[RAIL + 2] * link + w[OFFSET + 2] - w[LEG_R + 2] * ic;
  w[PHASE] = a;
  w[PHASE + 1] = ib;
  w[PHASE + 2] = ic;
  w[INVERTER] = drawn;
  w[LINK] = link;
  w[POLE] = va;
  w[POLE + 1] = vb;
  w[POLE + 2] = vc;
  // The star point drops out of the Clarke transform.
  w[V_A] = (2 * va - vb - vc) * 0.3333333333333333;
  w[V_B] = (vb - vc) * 0.5773502691896258;
}

/** Books the correction w.far of the flux along the blocked phase k as pole voltage of that leg. */
export function raisePole(w: Float64Array, k: number): void {
  const v = (1.5 * w[FAR]) / w[DT];
  w[OFFSET + k] += v;
  w[POLE + k] += v;
}

/**
 * With no current in any phase: the winding voltage that keeps it so, and the pole voltages that follow. The star
 * point hangs on the driven leg, or floats midway between the bounds.
 */
export function floatingVoltage(x: Float64Array, w: Float64Array): void {
  const va = (w[PSI1_A] - x[PSI_A]) / w[DT];
  const vb = (w[PSI1_B] - x[PSI_B]) / w[DT];
  w[I_A] = 0;
  w[I_B] = 0;
  legVoltages(w);
  w[V_A] = va;
  w[V_B] = vb;
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

/** The leg whose diode runs out of current first in the step just solved, or -1; w.share says when. */
export function exhaustedLeg(x: Float64Array, w: Float64Array): number {
  if (x[ON] !== 0 && x[ON + 1] !== 0 && x[ON + 2] !== 0) return -1;
  let leg = -1;
  for (let k = 0; k < 3; k++) {
    const diode = x[DIODE + k];
    if (x[ON + k] !== 0 || diode === 0) continue;
    const i1 = AXIS_ALPHA[k] * w[I1_A] + AXIS_BETA[k] * w[I1_B];
    // A high diode carries negative current, a low diode positive.
    if (i1 * diode <= 0) continue;
    const i0 = AXIS_ALPHA[k] * x[I0_A] + AXIS_BETA[k] * x[I0_B];
    const share = i0 * diode >= 0 ? 0 : i0 / (i0 - i1);
    if (leg < 0 || share < w[SHARE]) {
      leg = k;
      w[SHARE] = share;
    }
  }
  return leg;
}

/** Leaves in w.share where in the solved stretch, above 1 for later, the current of leg k is zero on a straight line. */
export function zeroShare(x: Float64Array, w: Float64Array, k: number): void {
  const i0 = AXIS_ALPHA[k] * x[I0_A] + AXIS_BETA[k] * x[I0_B];
  const i1 = AXIS_ALPHA[k] * w[I1_A] + AXIS_BETA[k] * w[I1_B];
  w[SHARE] = i0 === i1 ? 1 : i0 / (i0 - i1);
}

/** Blocks leg k: its diode has run out of current. */
export function blockLeg(x: Float64Array, k: number): void {
  x[DIODE + k] = 0;
}
