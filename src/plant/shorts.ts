/**
 * Bad joints and shorts of the phases: what the legs go by, renewed once an update.
 *
 * Model   a bad joint is a resistance between a leg and its phase; a short to minus a conductance from the output of a leg,
 *         before that joint and past the shunt. Both keep a leg a source behind a resistance (legs.ts).
 * Scheme  resistance in the circuit makes the first guess of the kernel poorer: how much is told to stretch.ts.
 * Source  parallel and series resistances.
 */
import { BROKEN } from './damage.ts';
import { WEAKEST_GATE } from './heat.ts';
import type { DrillParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

/** A short below this conductance carries nothing while its leg is off: half an ohm lies in the way of a motor [S]. */
export const LEAST_S = 2;

const JOINT = slot('phaseOhmA');
const TO_MINUS = slot('toMinusA');
const GATE_LESS = slot('gateLessA');
const ESR = slot('linkEsrMore');
const WIRES = slot('abShorted');
const BROKEN_A = slot('brokenA');
const PAIR = work('pair');
const PAIR_S = work('pairS');
const JOINT_OHM = work('jointOhmA');
const MINUS = work('minusA');
const TAU_MORE = work('tauMore');

/** Both wires of a pair are whole. */
function wiresWhole(x: Float64Array, pair: number): boolean {
  const first = pair === 1 ? 1 : 0;
  const second = pair === 0 ? 1 : 2;
  return ((x[BROKEN_A + first] | x[BROKEN_A + second]) & BROKEN.wireOpen) === 0;
}

/** Start of an update: takes joints and shorts into force. */
export function beginShorts(x: Float64Array, w: Float64Array, p: DrillParams): void {
  let joint = 0;
  let short = 0;
  let gate = 0;
  w[PAIR] = 0;
  w[PAIR_S] = LEAST_S;
  for (let k = 0; k < 3; k++) {
    const ohm = x[JOINT + k];
    const siemens = x[TO_MINUS + k];
    w[JOINT_OHM + k] = ohm;
    w[MINUS + k] = siemens;
    joint = Math.max(joint, ohm);
    if (siemens > 0) short = 1 / LEAST_S;
    if (x[WIRES + k] >= w[PAIR_S] && wiresWhole(x, k)) {
      w[PAIR] = k + 1;
      w[PAIR_S] = x[WIRES + k];
    }
    if (x[GATE_LESS + k] > 0) gate = 2 * WEAKEST_GATE * p.bridge.rds_ohm;
  }
  if (w[PAIR] > 0) short += 1 / w[PAIR_S];
  const least = Math.min(p.winding.ld_H, p.winding.lq_H);
  w[TAU_MORE] = (0.5 * (2 * joint + short + gate + p.link.esr_ohm * x[ESR])) / least;
}
