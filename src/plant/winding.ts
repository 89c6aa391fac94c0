/**
 * Three-phase winding with a floating star point: flux linkage in the stator frame is the state.
 *
 * Model   d psi/dt = v - R i in alpha-beta; the current follows from the field energy, i = dH/dpsi in the rotor frame:
 *         id = x/Ld + a x^2 + b x^3 + c q^2, iq = q/Lq + d q^3 + 2 c x q, with x = psi_d - lambda and q = psi_q.
 *         One function H for both, so d id/d q = d iq/d x: no current map can create energy. The odd term a tells
 *         north from south.
 * Scheme  discrete gradient. The mean current of a step is the mean of dH/dpsi along the straight line between the two
 *         rotor-frame fluxes (two Gauss points: exact for this H), the torque is the matching angle part. Then
 *         1.5 i (psi1 - psi0) - T (theta1 - theta0) is the change of the field energy to the last bit, whatever the step.
 *         Order 2, symmetric.
 * Frame   amplitude-invariant Clarke and Park, d on magnet north, q leads it by 90 degrees. Positive current flows into
 *         the motor. T = 1.5 p (psi_d iq - psi_q id).
 * Source  map: Jebai, Malrait, Martin, Rouchon, "Signal injection and averaging for position estimation of
 *         permanent-magnet synchronous motors", CDC 2012 (the abstract was read, the layout of terms is from memory).
 *         scheme: Gonzalez, "Time integration and discrete Hamiltonian systems", J. Nonlinear Science 6, 1996
 *         (from memory); the angle part is derived in DEVELOPERS.md.
 */
import { AXIS_ALPHA, AXIS_BETA } from './axes.ts';
import type { WindingParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const COS = slot('cos');
const SIN = slot('sin');

const DT = work('dt');
const FAR = work('far');
const X0D = work('x0d');
const X0Q = work('x0q');
const I_A = work('iAlpha');
const I_B = work('iBeta');
const V_A = work('vAlpha');
const V_B = work('vBeta');
const PSI1_A = work('psiAlpha');
const PSI1_B = work('psiBeta');
const AIR_GAP = work('airGap');
const COS_MID = work('cosMid');
const SIN_MID = work('sinMid');
const COS_HALF = work('cosHalf');
const SINC = work('sinc');
const COS1 = work('cos1');
const SIN1 = work('sin1');
const I1_A = work('i1Alpha');
const I1_B = work('i1Beta');

/** Half distance of the two Gauss points on the unit line, 1/(2 sqrt 3). */
const GAUSS = 0.28867513459481287;

/** Winding parameters with the reciprocals that a step needs; made once. */
export interface WindingMap extends WindingParams {
  /** Inverse inductances at zero current [1/H]. */ readonly gd: number;
  readonly gq: number;
}

/** Adds the reciprocals to checked parameters. */
export function windingMap(p: WindingParams): WindingMap {
  return Object.freeze({ ...p, gd: 1 / p.ld_H, gq: 1 / p.lq_H });
}

/** Direct-axis current [A] at rotor-frame flux x, q [Wb], magnet excluded. */
export function currentD(p: WindingMap, x: number, q: number): number {
  return x * (p.gd + x * (p.satD2 + p.satD3 * x)) + p.satCross * q * q;
}

/** Quadrature-axis current [A] at rotor-frame flux x, q [Wb]. */
export function currentQ(p: WindingMap, x: number, q: number): number {
  return q * (p.gq + p.satQ3 * q * q + 2 * p.satCross * x);
}

/** Field energy [J], zero at zero current. */
export function fieldEnergy(p: WindingMap, x: number, q: number): number {
  const { satD2: a, satD3: b, satCross: c, satQ3: d } = p;
  const h = 0.5 * (p.gd * x * x + p.gq * q * q) + x * x * x * (a / 3 + (b / 4) * x);
  return 1.5 * (h + c * x * q * q + (d / 4) * q * q * q * q);
}

/** Rotor-frame flux at the start of a step, from the state. */
export function startWinding(x: Float64Array, w: Float64Array, p: WindingMap): void {
  const c = x[COS];
  const s = x[SIN];
  w[X0D] = c * x[PSI_A] + s * x[PSI_B] - p.magnet_Wb;
  w[X0Q] = c * x[PSI_B] - s * x[PSI_A];
}

/** Flux at the end of the step from its mean voltage and the guess of its mean current. */
export function advanceFlux(x: Float64Array, w: Float64Array, p: WindingMap): void {
  const dt = w[DT];
  w[PSI1_A] = x[PSI_A] + dt * (w[V_A] - p.r_ohm * w[I_A]);
  w[PSI1_B] = x[PSI_B] + dt * (w[V_B] - p.r_ohm * w[I_B]);
}

/** The flux at the end that makes every phase current zero: the magnet's own. */
export function zeroCurrentFlux(w: Float64Array, p: WindingMap): void {
  w[PSI1_A] = p.magnet_Wb * w[COS1];
  w[PSI1_B] = p.magnet_Wb * w[SIN1];
}

/**
 * Moves the flux at the end along the axis of phase k until the current of that phase is zero (one Newton step), and
 * leaves in w.far how far [Wb].
 */
export function clampPhase(w: Float64Array, p: WindingMap, k: number): void {
  const c = w[COS1];
  const s = w[SIN1];
  const x = c * w[PSI1_A] + s * w[PSI1_B] - p.magnet_Wb;
  const q = c * w[PSI1_B] - s * w[PSI1_A];
  const ud = c * AXIS_ALPHA[k] + s * AXIS_BETA[k];
  const uq = c * AXIS_BETA[k] - s * AXIS_ALPHA[k];
  const { satD2: a, satD3: b, satCross: cc, satQ3: d } = p;
  // Incremental inverse inductances: the second derivatives of H.
  const gdd = p.gd + x * (2 * a + 3 * b * x);
  const gqq = p.gq + 3 * d * q * q + 2 * cc * x;
  const gdq = 2 * cc * q;
  const i = ud * (x * (p.gd + x * (a + b * x)) + cc * q * q) + uq * q * (p.gq + d * q * q + 2 * cc * x);
  const far = -i / (ud * ud * gdd + uq * uq * gqq + 2 * ud * uq * gdq);
  w[PSI1_A] += far * AXIS_ALPHA[k];
  w[PSI1_B] += far * AXIS_BETA[k];
  w[FAR] = far;
}

/** Mean current and mean torque of the step from the two fluxes: the discrete gradient of the field energy. */
export function meanCurrentAndTorque(x: Float64Array, w: Float64Array, p: WindingMap): void {
  const x0 = w[X0D];
  const q0 = w[X0Q];
  const pa = w[PSI1_A];
  const pb = w[PSI1_B];
  const dx = w[COS1] * pa + w[SIN1] * pb - p.magnet_Wb - x0;
  const dq = w[COS1] * pb - w[SIN1] * pa - q0;
  const g = 0.5 - GAUSS;
  const f = 0.5 + GAUSS;
  const xg = x0 + g * dx;
  const xf = x0 + f * dx;
  const qg = q0 + g * dq;
  const qf = q0 + f * dq;
  const { gd, gq, satD2: ad, satD3: bd, satCross: cc, satQ3: cq } = p;
  const id = 0.5 * (xg * (gd + xg * (ad + bd * xg)) + xf * (gd + xf * (ad + bd * xf)) + cc * (qg * qg + qf * qf));
  const iq = 0.5 * (qg * (gq + cq * qg * qg + 2 * cc * xg) + qf * (gq + cq * qf * qf + 2 * cc * xf));
  const c = w[COS_MID];
  const s = w[SIN_MID];
  const ia = c * id - s * iq;
  const ib = s * id + c * iq;
  w[I_A] = w[COS_HALF] * ia;
  w[I_B] = w[COS_HALF] * ib;
  const midA = 0.5 * (x[PSI_A] + pa);
  const midB = 0.5 * (x[PSI_B] + pb);
  w[AIR_GAP] = 1.5 * p.polePairs * w[SINC] * (ib * midA - ia * midB);
}

/** Current at the end of the step, in the stator frame. */
export function endCurrent(w: Float64Array, p: WindingMap): void {
  const c = w[COS1];
  const s = w[SIN1];
  const x = c * w[PSI1_A] + s * w[PSI1_B] - p.magnet_Wb;
  const q = c * w[PSI1_B] - s * w[PSI1_A];
  const id = currentD(p, x, q);
  const iq = currentQ(p, x, q);
  w[I1_A] = c * id - s * iq;
  w[I1_B] = s * id + c * iq;
}
