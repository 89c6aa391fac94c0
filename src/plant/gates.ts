/**
 * Which gate is on when: centre-aligned PWM, dead time, update points, bootstrap supplies, energy of the edges.
 *
 * Timing  a PWM period starts and ends in the middle of the low-side interval; a leg of duty d is high from T/2 (1 - d) to
 *         T/2 (1 + d). With two updates a period, an update interval is one half of it. The gate that leaves turns off
 *         at once, the other one turns on a dead time later. Edges keep their exact time: a stretch ends there, a duty
 *         is never rounded to a step.
 * Edges   a switch that breaks its own current, or takes it over from a diode, turns V I t / 2 into heat, and the recovery
 *         charge of the diode times V comes on top. The energy leaves the link capacitance at that moment.
 * Overlap a dead time that a fault has made shorter than the switch needs to turn off leaves both switches of the leg on for
 *         the rest: the link capacitance discharges through them and its ESR, by Ohm, for that time.
 * Source  hard-switching loss V I t / 2: common practice, no source.
 */
import { legCurrent_A } from './axes.ts';
import { BROKEN } from './damage.ts';
import { highConducts, lowConducts } from './legs.ts';
import type { BridgeParams, LinkParams } from './params.ts';
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
const IN_PERIOD = slot('inPeriod');
const HALF = slot('half');
const BOOT = slot('bootA');
const CAPACITOR = slot('capacitor');
const SUM_HEAT = slot('sumHeatA');
const LOSS_EDGE = slot('lossEdge');
const LOW_FOR = slot('lowForA');
const BOOKED = slot('bookedAt');
const LINK_GONE = slot('linkGone');
const DEAD_MORE = slot('deadMoreA');
const GATE_LESS = slot('gateLessA');

const BROKEN_A = slot('brokenA');
const LOSS_SHUNT = slot('lossShunt');
const LOSS_LINK = slot('lossLink');

const HIGH_OHM = work('highA');
const LOW_OHM = work('lowA');
const ESR_MORE = work('esrMore');
const PERIOD = work('period');
const PWM_HALF = work('pwmHalf');
const EDGE = work('edge');

/** Any damage to the switches of a leg. */
const SWITCHES = BROKEN.highOpen | BROKEN.highShort | BROKEN.lowOpen | BROKEN.lowShort;
/** Currents below this are no current: far under a converter count, far over rounding [A]. */
const NO_CURRENT_A = 1e-7;

/** Loads the next command into force; called at the update point. */
export function loadCommand(x: Float64Array): void {
  for (let k = 0; k < 3; k++) x[DUTY + k] = x[NEXT_DUTY + k];
  // Without supply the gate drivers are dead: every switch is off.
  x[GATES] = x[POWERED] === 1 ? x[NEXT_GATES] : 0;
}

/** Switch that leg k asks for now: 1 high, -1 low, 0 none. */
function wanted(x: Float64Array, w: Float64Array, p: BridgeParams, k: number): number {
  if (((x[GATES] >> k) & 1) === 0) return 0;
  const half = w[PWM_HALF];
  const d = x[DUTY + k];
  const now = x[IN_PERIOD];
  if (p.updates === 1) return now >= half * (1 - d) && now < half * (1 + d) ? 1 : -1;
  return x[HALF] === 0 ? (now >= half * (1 - d) ? 1 : -1) : now < half * d ? 1 : -1;
}

/** Acts on every edge that is due at the present time: turns gates off, starts dead times, turns gates on. */
export function applyEdges(x: Float64Array, w: Float64Array, p: BridgeParams, link: LinkParams): void {
  const now = x[IN_PERIOD];
  for (let k = 0; k < 3; k++) {
    const want = wanted(x, w, p, k);
    const starved = want === 1 && x[BOOT + k] < p.bootLow_V;
    if (want !== x[WANT + k] || (starved && x[ON + k] === 1)) {
      x[WANT + k] = want;
      if (x[ON + k] !== 0 && (x[ON + k] !== want || starved)) {
        if (x[DEAD_MORE + k] < 0 && want !== 0 && !starved) bookOverlap(x, w, p, link, k);
        turnOff(x, p, link, k);
      }
      const dead_s = p.deadTime_s + x[DEAD_MORE + k];
      if (x[ON + k] !== want) x[DUE + k] = now + Math.max(dead_s, 0);
    }
    if (want !== 0 && x[ON + k] !== want && now >= x[DUE + k] && !starved) turnOn(x, p, link, k, want);
  }
}

/** Gate off: the diode that takes the present current over, if there is any. */
function turnOff(x: Float64Array, p: BridgeParams, link: LinkParams, k: number): void {
  const i = legCurrent_A(x, k);
  const high = x[ON + k] === 1;
  const conducted = high ? highConducts(x, k) : lowConducts(x, k);
  x[ON + k] = 0;
  // An open switch never carried the current: its diode goes on as it was. A shorted one never stops.
  if (!conducted || highConducts(x, k) || lowConducts(x, k)) return;
  x[DIODE + k] = i > NO_CURRENT_A ? -1 : i < -NO_CURRENT_A ? 1 : 0;
  // Current out of a high switch, or into a low one, is broken by the switch itself.
  if (i > 0 === high) bookEdge(x, p, link, k, i, p.fall_s, 0);
}

/** Gate on; where the diode of the other side conducts, the switch takes its current over. */
function turnOn(x: Float64Array, p: BridgeParams, link: LinkParams, k: number, want: number): void {
  const diode = x[DIODE + k];
  x[ON + k] = want;
  if (!(want === 1 ? highConducts(x, k) : lowConducts(x, k))) return;
  x[DIODE + k] = 0;
  if (diode === -want) bookEdge(x, p, link, k, legCurrent_A(x, k), p.rise_s, p.recovery_C);
}

/** Books the heat of one hard edge and takes it from the link. */
function bookEdge(
  x: Float64Array,
  p: BridgeParams,
  link: LinkParams,
  k: number,
  i_A: number,
  t_s: number,
  recovery_C: number,
): void {
  const v = x[CAPACITOR] > 0 ? Math.min(x[CAPACITOR], p.avalanche_V) : 0;
  const energy = v * (0.5 * (i_A < 0 ? -i_A : i_A) * t_s + recovery_C);
  const left = x[CAPACITOR] * x[CAPACITOR] - (2 * energy) / (link.c_F * (1 - x[LINK_GONE]));
  if (!(left > 0) || energy === 0) return;
  x[CAPACITOR] = Math.sqrt(left);
  x[LOSS_EDGE] += energy;
  x[SUM_HEAT + k] += energy;
}

/** Books what flows while the switch that leaves is not off yet and the other one is on. */
function bookOverlap(x: Float64Array, w: Float64Array, p: BridgeParams, link: LinkParams, k: number): void {
  const dead_s = p.deadTime_s + x[DEAD_MORE + k];
  const both_s = p.fall_s - Math.max(dead_s, 0);
  if (!(both_s > 0) || (x[BROKEN_A + k] & SWITCHES) !== 0 || !(x[CAPACITOR] > 0)) return;
  const leg_ohm = w[HIGH_OHM + k] + w[LOW_OHM + k] + p.shunt_ohm;
  const esr_ohm = link.esr_ohm + w[ESR_MORE];
  const i = x[CAPACITOR] / (leg_ohm + esr_ohm);
  const energy = x[CAPACITOR] * i * both_s;
  const left = x[CAPACITOR] * x[CAPACITOR] - (2 * energy) / (link.c_F * (1 - x[LINK_GONE]));
  if (!(left > 0)) return;
  x[CAPACITOR] = Math.sqrt(left);
  const shunt = i * i * both_s * p.shunt_ohm;
  const esr = i * i * both_s * esr_ohm;
  x[LOSS_SHUNT] += shunt;
  x[LOSS_LINK] += esr;
  x[LOSS_EDGE] += energy - shunt - esr;
  x[SUM_HEAT + k] += energy - shunt - esr;
}

/** Leaves in w.edge the time of the next edge after now; the end of the interval when there is none before it. */
export function findEdge(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  const now = x[IN_PERIOD];
  const half = w[PWM_HALF];
  let next = w[PERIOD];
  for (let k = 0; k < 3; k++) {
    const want = x[WANT + k];
    if (want === 0) continue;
    if (x[ON + k] !== want && x[DUE + k] > now && x[DUE + k] < next) next = x[DUE + k];
    const d = x[DUTY + k];
    if (d <= 0) continue;
    const rise = half * (1 - d);
    const fall = p.updates === 1 ? half * (1 + d) : half * d;
    if ((p.updates === 1 || x[HALF] === 0) && rise > now && rise < next) next = rise;
    if ((p.updates === 1 || x[HALF] === 1) && fall > now && fall < next) next = fall;
  }
  w[EDGE] = next;
}

/** At the end of an interval: dead times that still run count from the new start. */
export function wrapEdges(x: Float64Array, w: Float64Array): void {
  for (let k = 0; k < 3; k++) x[DUE + k] -= w[PERIOD];
}

/** Once an update: the high-side gate supplies are charged while their pole is down, and droop while it is not. */
export function renewBoots(x: Float64Array, w: Float64Array, p: BridgeParams): void {
  for (let k = 0; k < 3; k++) {
    const t = x[LOW_FOR + k] / p.bootCharge_s;
    // A first-order charge; far into it only the end counts.
    if (x[POWERED] === 1) x[BOOT + k] += ((p.boot_V - x[GATE_LESS + k] - x[BOOT + k]) * t) / (1 + t);
    x[BOOT + k] -= p.bootDroop_V_s * (w[PERIOD] - x[LOW_FOR + k]);
    if (x[BOOT + k] < 0) x[BOOT + k] = 0;
    x[LOW_FOR + k] = 0;
  }
  x[BOOKED] = 0;
}
