/**
 * A stretch of time in which no switch changes: its constants before the kernel runs, its energy after.
 *
 * Scheme  link and pack current by the trapezoidal rule in closed form: with the mean current of the bridge given, link
 *         voltage = idle - linkOhm * current. Lead inductance is part of it.
 */
import { PHASE_OF_LEG } from './axes.ts';
import { W } from './columns.ts';
import type { KernelMap } from './kernel-map.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const AVALANCHE = slot('avalanche');
const WIRING = slot('wiring');
const SUM_HEAT = slot('sumHeatA');
const POLE = slot('poleA');
const LOOP_H = slot('loopHenry');
const ACROSS = work('acrossA');
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
  const perC = dt * k.perLink_F;
  const z = k.esr_ohm + 0.5 * perC;
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

/** Sums that the kernel keeps over a stretch. */
const SUMS = 20;

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
  gear: slot('lossGear'),
  clutch: slot('lossClutch'),
  chuck: slot('lossChuck'),
  work: slot('work'),
} as const;

/** Books the energy of the steps of a stretch, of length w.part, when it ends. */
export function bookStretch(x: Float64Array, w: Float64Array, k: KernelMap): void {
  const dt = w[W.part];
  const half = 0.5 * dt;
  const s = W.sums;
  const link2 = dt * w[s + 3];
  x[L.sumCharge] += dt * w[s];
  x[L.pack] += dt * w[PACK_OHM] * w[s + 1];
  x[L.link] += dt * k.esr_ohm * w[s + 2];
  x[L.logic] += k.logic_S * link2;
  x[L.avalanche] += dt * w[s + 4];
  const shunt = dt * k.shunt_ohm * w[s + 8];
  x[L.shunt] += shunt;
  // The heat of a leg counts its shunt too: what is left is the switch's, or the diode's.
  let inDiodes = 0;
  let total = 0;
  for (let phase = 0; phase < 3; phase++) {
    const leg = PHASE_OF_LEG[3 * x[WIRING] + phase];
    const heat = dt * w[s + 5 + phase] + w[ACROSS + phase] * link2;
    x[SUM_HEAT + leg] += heat;
    x[POLE + leg] += dt * w[s + 17 + phase];
    total += heat;
    if (w[W.sign + phase] !== 0 || w[W.blocked] === phase) inDiodes += heat;
  }
  x[L.diode] += inDiodes;
  x[L.switch] += total - inDiodes - shunt;
  x[L.sumCopper] += 1.5 * dt * w[s + 9];
  x[L.sumHold] += half * w[s + 10];
  x[L.sumMesh] -= half * w[s + 11];
  x[L.sumDrag] += 0.25 * dt * w[W.drag] * w[s + 12];
  x[L.gear] += half * w[s + 13];
  x[L.clutch] += w[s + 14];
  x[L.chuck] += half * w[s + 15];
  x[L.work] += half * w[s + 16];
  for (let k = 0; k < SUMS; k++) w[s + k] = 0;
}
