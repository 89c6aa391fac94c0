/**
 * Energy audit, always on: what the cells gave = what became heat and work + what is stored now - what was stored before.
 *
 * Every term is booked in the step or update where it happens, with the mean current, speed and voltage of that step. The
 * residual is a signal, valid between two updates; a run whose residual leaves its bound is not valid.
 */
import type { DrillParams } from './params.ts';
import { type SlotName, slot } from './slots.ts';
import { storedSupply } from './supply.ts';
import { contactTwist, halfPlay_rad } from './transmission.ts';
import { coggingEnergy, fieldEnergy, magnetD_Wb, magnetQ_Wb, type WindingMap } from './winding.ts';

/** Accounts that take energy, with the words a report uses. */
export const ACCOUNTS: readonly (readonly [SlotName, string])[] = [
  ['lossPack', 'pack and contact'],
  ['lossLink', 'link'],
  ['lossLogic', 'logic supply'],
  ['lossSwitch', 'switches'],
  ['lossEdge', 'switching'],
  ['lossDiode', 'diodes'],
  ['lossAvalanche', 'avalanche'],
  ['lossShunt', 'shunts'],
  ['lossCopper', 'copper'],
  ['lossIron', 'iron'],
  ['lossRotor', 'rotor friction'],
  ['lossGear', 'gear'],
  ['lossClutch', 'clutch'],
  ['lossChuck', 'chuck friction'],
  ['lossWrist', 'hand and arm'],
  ['lossFault', 'bad joints and shorts'],
  ['work', 'load'],
];
const ACCOUNT_SLOTS = ACCOUNTS.map(([name]) => slot(name));

const PASSED = slot('passed');
const SOURCE = slot('source');
const STORED0 = slot('stored0');
const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const BODY = slot('bodySpeed');
const TWIST = slot('twist');
const ENGAGED = slot('engaged');
const WRIST = slot('wristStore');
const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const COS = slot('cos');
const SIN = slot('sin');
const SLOT_COS = slot('slotCos');
const MAGNET = slot('magnet');
const LOOP_H = slot('loopHenry');
const LOOP = slot('loopCurrent');

/** Energy stored in link, leads, RC pairs, field, cogging, motion, gearbox and wrist [J]. */
export function stored_J(x: Float64Array, p: DrillParams, map: WindingMap): number {
  const c = x[COS];
  const s = x[SIN];
  const xd = c * x[PSI_A] + s * x[PSI_B] - magnetD_Wb(map, x[MAGNET], c, s);
  const xq = c * x[PSI_B] - s * x[PSI_A] - magnetQ_Wb(map, x[MAGNET], c, s);
  const bent = x[ENGAGED] === 0 ? 0 : contactTwist(x[TWIST], halfPlay_rad(x, p.gear));
  const rotor = x[ROTOR] + x[BODY];
  const motion =
    p.shaft.rotor_kgm2 * rotor * rotor +
    p.shaft.chuck_kgm2 * x[CHUCK] * x[CHUCK] +
    p.body.body_kgm2 * x[BODY] * x[BODY];
  const springs = 0.5 * p.gear.stiffness_Nm_rad * bent * bent + x[WRIST];
  return (
    storedSupply(x, p.pack, p.link) +
    fieldEnergy(map, xd, xq) +
    coggingEnergy(map, c, s, x[SLOT_COS]) +
    0.5 * motion +
    springs +
    0.5 * x[LOOP_H] * x[LOOP] * x[LOOP]
  );
}

/** Energy that does not balance since the start [J]. */
export function residual_J(x: Float64Array, p: DrillParams, map: WindingMap): number {
  let taken = stored_J(x, p, map) - x[STORED0];
  for (let k = 0; k < ACCOUNT_SLOTS.length; k++) taken += x[ACCOUNT_SLOTS[k]];
  return x[SOURCE] - taken;
}

/** Residual as a share of the energy that passed; 0 before anything passed. */
export function residualShare(x: Float64Array, p: DrillParams, map: WindingMap): number {
  return x[PASSED] > 0 ? residual_J(x, p, map) / x[PASSED] : 0;
}
