/**
 * Which switch conducts when: centre-aligned PWM, dead time, update points.
 *
 * A period starts and ends in the middle of the low-side interval; a leg of duty d is high from T/2 (1 - d) to
 * T/2 (1 + d). The switch that leaves turns off at once, the other one turns on a dead time later. Edges keep their
 * exact time: the step is split there, a duty is never rounded to the step.
 */
import { phaseCurrent_A } from './axes.ts';
import type { BridgeParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

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
const IN_PERIOD = slot('inPeriod');

const PERIOD = work('period');
const EDGE = work('edge');

/** Currents below this are no current: far under a converter count, far over rounding [A]. */
const NO_CURRENT_A = 1e-7;

/** Loads the next command into force; called at the update point, the start of a period. */
export function loadCommand(x: Float64Array): void {
  for (let k = 0; k < 3; k++) x[DUTY + k] = x[NEXT_DUTY + k];
  // Without supply the gate drivers are dead: every switch is off.
  x[GATES] = x[POWERED] === 1 ? x[NEXT_GATES] : 0;
}

/** Switch that leg k asks for now: 1 high, -1 low, 0 none. */
function wanted(x: Float64Array, w: Float64Array, k: number): number {
  if (((x[GATES] >> k) & 1) === 0) return 0;
  const half = 0.5 * w[PERIOD];
  const d = x[DUTY + k];
  const now = x[IN_PERIOD];
  return now >= half * (1 - d) && now < half * (1 + d) ? 1 : -1;
}

/** Acts on every edge that is due at the present time: turns switches off, starts dead times, turns switches on. */
export function applyEdges(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  const now = x[IN_PERIOD];
  for (let k = 0; k < 3; k++) {
    const want = wanted(x, w, k);
    if (want !== x[WANT + k]) {
      x[WANT + k] = want;
      if (x[ON + k] !== want) {
        if (x[ON + k] !== 0) openLeg(x, k);
        x[DUE + k] = now + p.deadTime_s;
      }
    }
    if (want !== 0 && x[ON + k] !== want && now >= x[DUE + k]) {
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

/** Leaves in w.edge the time in the period of the next edge after now; Infinity when there is none in this period. */
export function findEdge(x: Float64Array, w: Float64Array): void {
  const now = x[IN_PERIOD];
  const half = 0.5 * w[PERIOD];
  let next = Number.POSITIVE_INFINITY;
  for (let k = 0; k < 3; k++) {
    const want = x[WANT + k];
    if (want === 0) continue;
    if (x[ON + k] !== want && x[DUE + k] > now && x[DUE + k] < next) next = x[DUE + k];
    const rise = half * (1 - x[DUTY + k]);
    const fall = half * (1 + x[DUTY + k]);
    if (rise > now && rise < fall && rise < next) next = rise;
    if (fall > now && rise < fall && fall < next) next = fall;
  }
  w[EDGE] = next;
}

/** At the end of a period: dead times that still run count from the new start. */
export function wrapEdges(x: Float64Array, w: Float64Array): void {
  for (let k = 0; k < 3; k++) x[DUE + k] -= w[PERIOD];
}
