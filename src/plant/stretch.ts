/**
 * A stretch of time in which no switch changes: its constants before the kernel runs, its energy after.
 *
 * Scheme  link and pack current by the trapezoidal rule in closed form: with the mean current of the bridge given, link
 *         voltage = idle - linkOhm * current. Lead inductance is part of it.
 */
import { PHASE_OF_LEG, phaseCurrent_A } from './axes.ts';
import { W } from './columns.ts';
import type { KernelMap } from './kernel-map.ts';
import { lowConducts } from './legs.ts';
import { slot } from './slots.ts';
import { bookPair, inPair } from './wires.ts';
import { work } from './work.ts';

const AVALANCHE = slot('avalanche');
const WIRING = slot('wiring');
const SUM_HEAT = slot('sumHeatA');
const POLE = slot('poleA');
const IN_PERIOD = slot('inPeriod');
const BOOKED = slot('bookedAt');
const LOW_FOR = slot('lowForA');
const LOOP_H = slot('loopHenry');
const I_A = slot('iAlpha');
const I_B = slot('iBeta');
const FROM_A = work('fromAlpha');
const FROM_B = work('fromBeta');
const GONE = slot('linkGone');
const ESR_MORE = work('esrMore');
const TAU_MORE = work('tauMore');
const JOINT = work('jointA');
const SHORT = work('shortA');
const PAST = work('pastA');
const ACROSS = work('acrossA');
const PAIR = work('pair');
const MUTUAL = work('mutual');
const PAIR_HEAT = work('pairHeat');
const PAIR_PART = work('pairPart');
const BODY = work('body');
const CLOSED = work('closed');
const PACK_OHM = work('packOhm');

/** Constants for steps of length dt = w.part. */
export function prepareStretch(x: Float64Array, w: Float64Array, k: KernelMap): void {
  const dt = w[W.part];
  const perDt = 1 / dt;
  const lead = 2 * k.leads_H * perDt;
  const slope = w[CLOSED] / (w[PACK_OHM] + lead);
  const gAvalanche = x[AVALANCHE] === 1 ? k.avalanche_S : 0;
  const load = k.logic_S + w[ACROSS] + w[ACROSS + 1] + w[ACROSS + 2] + gAvalanche;
  const perC = (dt * k.perLink_F) / (1 - x[GONE]);
  const z = k.esr_ohm + w[ESR_MORE] + 0.5 * perC;
  const drop = 1 / (1 + z * (slope + load));
  const linkOhm = z * drop;
  w[W.lead] = lead;
  w[W.slope] = slope;
  w[W.load] = load;
  w[W.avalanche] = gAvalanche;
  w[W.drop] = drop;
  w[W.linkOhm] = linkOhm;
  w[W.idleFix] = linkOhm * (slope * w[W.emf] + gAvalanche * k.avalanche_V);
  w[W.idleLead] = linkOhm * slope * lead;
  w[W.perC] = perC;

  const turns = w[W.turns];
  // Every guess more leaves this share of the error of the one before.
  const astray = dt * (k.perTau_s + w[TAU_MORE]);
  w[W.again] =
    (turns > 0 ? 1 : 0) +
    (astray > STIFF ? 1 : 0) +
    (astray * astray > STIFF ? 1 : 0) +
    (astray * astray * astray > STIFF ? 1 : 0);
  if (turns > 0) {
    // The winding resistance that the loop shares with its phase counts once.
    const fade = 0.5 * dt * (w[W.loopOhm] - (2 / 3) * turns * turns * w[W.windingOhm]);
    w[W.perLoop] = 1 / (x[LOOP_H] + fade);
    w[W.keepLoop] = x[LOOP_H] - fade;
  } else {
    w[W.perLoop] = 0;
    w[W.keepLoop] = 0;
  }

  const body = w[BODY];
  const rotorShare = 1 / (1 + k.rotor_kgm2 / body);
  const inertia = k.rotor_kgm2 * rotorShare * perDt;
  w[W.inertia] = inertia;
  w[W.perRotor] = 1 / (inertia + 0.5 * w[W.drag]);
  w[W.chuck] = k.chuck_kgm2 * perDt;
  w[W.bodyBack] = k.rotor_kgm2 / (body + k.rotor_kgm2);
  w[W.bodyPush] = dt / (body + k.rotor_kgm2);
  w[W.toBody] = 1 - rotorShare;
}

/** Step over twice the time constant of the circuit above which the energy astray would pass 1e-6 with one guess. */
const STIFF = 0.004;

/** Sums that the kernel keeps over a stretch. */
const SUMS = 22;

const L = {
  sumCharge: slot('sumCharge'),
  sumCopper: slot('sumCopper'),
  sumHold: slot('sumHold'),
  sumMesh: slot('sumMesh'),
  sumDrag: slot('sumDrag'),
  pack: slot('lossPack'),
  link: slot('lossLink'),
  logic: slot('lossLogic'),
  switch: slot('lossSwitch'),
  diode: slot('lossDiode'),
  avalanche: slot('lossAvalanche'),
  shunt: slot('lossShunt'),
  fault: slot('lossFault'),
  gear: slot('lossGear'),
  clutch: slot('lossClutch'),
  chuck: slot('lossChuck'),
  work: slot('work'),
} as const;

function meanCurrent_A(x: Float64Array, w: Float64Array, phase: number): number {
  return phaseCurrent_A(phase, 0.5 * (w[FROM_A] + x[I_A]), 0.5 * (w[FROM_B] + x[I_B]));
}

/** Books the energy of the steps of a stretch, of length w.part, when it ends. */
export function bookStretch(x: Float64Array, w: Float64Array, k: KernelMap): void {
  const dt = w[W.part];
  const half = 0.5 * dt;
  const s = W.sums;
  const link2 = dt * w[s + 3];
  x[L.sumCharge] += dt * w[s];
  x[L.pack] += dt * w[PACK_OHM] * w[s + 1];
  x[L.link] += dt * (k.esr_ohm + w[ESR_MORE]) * w[s + 2];
  x[L.logic] += k.logic_S * link2;
  x[L.avalanche] += dt * w[s + 4];
  const part = x[IN_PERIOD] - x[BOOKED];
  x[BOOKED] = x[IN_PERIOD];
  // The heat of a leg counts its shunt too: what is left is the switch's, or the diode's.
  let squares = 0;
  let pair = 0;
  for (let phase = 0; phase < 3; phase++) {
    const leg = PHASE_OF_LEG[3 * x[WIRING] + phase];
    const square = dt * w[s + 8 + phase];
    const shunt = k.shunt_ohm * w[W.shunt + phase] * square;
    // What a bad joint or a short to minus takes of it heats neither.
    const joint = w[JOINT + phase] * square;
    const own = dt * w[s + 5 + phase] - joint;
    const past = w[ACROSS + phase] * link2;
    const short = w[SHORT + phase] * own + w[PAST + phase] * past;
    let heat = own + past - shunt - short;
    x[L.fault] += joint + short;
    squares += square;
    if (w[PAIR] > 0) {
      // Of two shorted legs the heat goes by their network; the third one has lent its phase what they have in common.
      const apart = inPair(w, leg) ? heat : w[MUTUAL] * square;
      pair += apart;
      heat -= apart;
    }
    x[L.shunt] += shunt;
    x[SUM_HEAT + leg] += heat;
    x[POLE + leg] += dt * w[s + 19 + phase];
    // The pole of the board lies before the joint; between two edges the current is a straight line.
    if (joint > 0) x[POLE + leg] += w[JOINT + phase] * part * meanCurrent_A(x, w, phase);
    if (w[W.sign + phase] !== 0 || w[W.blocked] === phase) x[L.diode] += heat;
    else x[L.switch] += heat;
    // While the pole is down the gate supply of the high switch is charged.
    if (lowConducts(x, leg) || (w[W.leg + phase] > 0 && w[W.rail + phase] < 0.5)) x[LOW_FOR + leg] += part;
  }
  if (w[PAIR] > 0) {
    w[PAIR_HEAT] = pair;
    w[PAIR_PART] = part;
    bookPair(x, w, k.shunt_ohm);
  }
  x[L.sumCopper] += w[W.windingOhm] * squares + dt * w[s + 11];
  x[L.sumHold] += half * w[s + 12];
  x[L.sumMesh] -= half * w[s + 13];
  x[L.sumDrag] += 0.25 * dt * w[W.drag] * w[s + 14];
  x[L.gear] += half * w[s + 15];
  x[L.clutch] += w[s + 16];
  x[L.chuck] += half * w[s + 17];
  x[L.work] += half * w[s + 18];
  for (let k = 0; k < SUMS; k++) w[s + k] = 0;
}
