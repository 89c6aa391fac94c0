/**
 * Slope of the current right after a change of a switch or diode: the first guess of the kernel for the next step. It
 * decides how little the kernel has to correct, not where it ends. The rotor-frame flux is renewed with it.
 */
import { AXIS_ALPHA, AXIS_BETA } from './axes.ts';
import { W } from './columns.ts';
import { slot } from './slots.ts';
import { magnetD_Wb, magnetQ_Wb, type WindingMap } from './winding.ts';

const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const FLUX_D = slot('fluxD');
const FLUX_Q = slot('fluxQ');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const COS = slot('cos');
const SIN = slot('sin');
const ROTOR = slot('rotorSpeed');
const MAGNET = slot('magnet');
const LOOP = slot('loopCurrent');
const LOOP_H = slot('loopHenry');
const CAPACITOR = slot('capacitor');
const FLOAT = slot('floatPole');
const SLOPE_A = slot('slopeAlpha');
const SLOPE_B = slot('slopeBeta');

const ROOT_3_HALF = 0.8660254037844386;

/** Writes slope and rotor-frame flux into the state, for the legs as they stand in the scratch. */
export function startSlope(x: Float64Array, w: Float64Array, p: WindingMap): void {
  const blocked = w[W.blocked] | 0;
  x[SLOPE_A] = 0;
  x[SLOPE_B] = 0;
  const c = x[COS];
  const s = x[SIN];
  const d = c * x[PSI_A] + s * x[PSI_B];
  const f = c * x[PSI_B] - s * x[PSI_A];
  const xd = d - magnetD_Wb(p, x[MAGNET], c, s);
  const xq = f - magnetQ_Wb(p, x[MAGNET], c, s);
  x[FLUX_D] = xd;
  x[FLUX_Q] = xq;
  if (blocked === 3) return;
  const link = x[CAPACITOR];
  const a = x[I_A];
  const b = ROOT_3_HALF * x[I_B];
  const va = w[W.rail] * link + w[W.offset] + (blocked === 0 ? x[FLOAT] : 0) - w[W.leg] * a;
  const vb = w[W.rail + 1] * link + w[W.offset + 1] + (blocked === 1 ? x[FLOAT] : 0) - w[W.leg + 1] * (b - 0.5 * a);
  const vc = w[W.rail + 2] * link + w[W.offset + 2] + (blocked === 2 ? x[FLOAT] : 0) - w[W.leg + 2] * (-b - 0.5 * a);
  // Shorted turns: their loop takes a part of the phase current of its own, the field the rest.
  const turns = w[W.turns];
  const flow = (2 / 3) * turns;
  const ring = x[LOOP];
  const fieldA = a - flow * ring;
  const phaseA = (2 * va - vb - vc) / 3;
  const loss = turns > 0 ? w[W.loopOhm] - flow * turns * w[W.windingOhm] : 0;
  const perLoop = turns > 0 ? 1 / x[LOOP_H] : 0;
  const dLoop = perLoop * (turns * phaseA - loss * ring);
  const ea = phaseA - w[W.windingOhm] * fieldA;
  const eb = 0.5773502691896258 * (vb - vc) - w[W.windingOhm] * x[I_B];

  const we = p.polePairs * x[ROTOR];
  const dx = c * ea + s * eb + we * f;
  const dq = c * eb - s * ea - we * d;
  const gdd = p.gd + xd * (2 * p.satD2 + 3 * p.satD3 * xd);
  const gqq = p.gq + 3 * p.satQ3 * xq * xq + 2 * p.satCross * xd;
  const gdq = 2 * p.satCross * xq;
  const did = gdd * dx + gdq * dq - we * (c * x[I_B] - s * fieldA);
  const diq = gdq * dx + gqq * dq + we * (c * fieldA + s * x[I_B]);
  let sa = c * did - s * diq + flow * dLoop;
  let sb = s * did + c * diq;
  if (blocked >= 0) {
    // The floating pole takes the voltage that holds the current of its phase.
    const axisA = AXIS_ALPHA[blocked];
    const axisB = AXIS_BETA[blocked];
    const ud = c * axisA + s * axisB;
    const uq = c * axisB - s * axisA;
    const gd = gdd * ud + gdq * uq;
    const gq = gdq * ud + gqq * uq;
    const gLoop = flow * turns * perLoop * axisA;
    const far = -(sa * axisA + sb * axisB) / (ud * gd + uq * gq + axisA * gLoop);
    sa += far * (c * gd - s * gq + gLoop);
    sb += far * (s * gd + c * gq);
  }
  x[SLOPE_A] = sa;
  x[SLOPE_B] = sb;
}
