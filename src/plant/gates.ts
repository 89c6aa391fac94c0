/**
 * Which switch conducts when: centre-aligned PWM, dead time, update points.
 *
 * A period starts and ends in the middle of the low-side interval; a leg of duty d is high from T/2 (1 - d) to
 * T/2 (1 + d). The switch that leaves turns off at once, the other one turns on a dead time later. Edges keep their
 * exact time: the step is split there, a duty is never rounded to the step.
 */
import type { BridgeParams } from './params.ts';
import { slot } from './slots.ts';

const ON = slot('onA');
const WANT = slot('wantA');
const DUE = slot('dueA');
const DIODE = slot('diodeA');
const DUTY = slot('dutyA');
const GATES = slot('gates');
const NEXT_DUTY = slot('nextDutyA');
const NEXT_GATES = slot('nextGates');
const POWERED = slot('powered');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');

/** Currents below this are no current: far under a converter count, far over rounding [A]. */
const NO_CURRENT_A = 1e-7;

/** cos and sin of the three phase axes. */
export const AXIS_ALPHA: readonly [number, number, number] = [1, -0.5, -0.5];
export const AXIS_BETA: readonly [number, number, number] = [0, 0.8660254037844386, -0.8660254037844386];

/** Current of phase k from the alpha-beta current. */
export function phaseCurrent_A(k: number, iAlpha_A: number, iBeta_A: number): number {
  return AXIS_ALPHA[k] * iAlpha_A + AXIS_BETA[k] * iBeta_A;
}

/** Loads the next command into force; called at the update point, the start of a period. */
export function loadCommand(x: Float64Array): void {
  for (let k = 0; k < 3; k++) x[DUTY + k] = x[NEXT_DUTY + k];
  // Without supply the gate drivers are dead: every switch is off.
  x[GATES] = x[POWERED] === 1 ? x[NEXT_GATES] : 0;
}

/** Switch that leg k asks for at `at_s` in the period: 1 high, -1 low, 0 none. */
function wanted(x: Float64Array, k: number, at_s: number, period_s: number): number {
  if (((x[GATES] >> k) & 1) === 0) return 0;
  const d = x[DUTY + k];
  return at_s >= 0.5 * period_s * (1 - d) && at_s < 0.5 * period_s * (1 + d) ? 1 : -1;
}

/** Acts on every edge at or before `at_s`: turns switches off, starts dead times, turns switches on. */
export function applyEdges(x: Float64Array, p: BridgeParams, at_s: number, period_s: number): void {
  for (let k = 0; k < 3; k++) {
    const want = wanted(x, k, at_s, period_s);
    if (want !== x[WANT + k]) {
      x[WANT + k] = want;
      if (x[ON + k] !== want) {
        if (x[ON + k] !== 0) openLeg(x, k);
        x[DUE + k] = at_s + p.deadTime_s;
      }
    }
    if (want !== 0 && x[ON + k] !== want && at_s >= x[DUE + k]) {
      x[ON + k] = want;
      x[DIODE + k] = 0;
    }
  }
}

/** Both switches of leg k off: the diode that takes the present current over, if there is any. */
function openLeg(x: Float64Array, k: number): void {
  const i = phaseCurrent_A(k, x[I_A], x[I_B]);
  x[ON + k] = 0;
  x[DIODE + k] = i > NO_CURRENT_A ? -1 : i < -NO_CURRENT_A ? 1 : 0;
}

/** Time in the period of the next edge after `at_s`; Infinity when there is none in this period. */
export function nextEdge_s(x: Float64Array, at_s: number, period_s: number): number {
  let next = Number.POSITIVE_INFINITY;
  for (let k = 0; k < 3; k++) {
    const want = x[WANT + k];
    if (want === 0) continue;
    if (x[ON + k] !== want && x[DUE + k] > at_s && x[DUE + k] < next) next = x[DUE + k];
    const rise = 0.5 * period_s * (1 - x[DUTY + k]);
    const fall = 0.5 * period_s * (1 + x[DUTY + k]);
    if (rise > at_s && rise < fall && rise < next) next = rise;
    if (fall > at_s && rise < fall && fall < next) next = fall;
  }
  return next;
}

/** At the end of a period: dead times that still run count from the new start. */
export function wrapEdges(x: Float64Array, period_s: number): void {
  for (let k = 0; k < 3; k++) x[DUE + k] -= period_s;
}
