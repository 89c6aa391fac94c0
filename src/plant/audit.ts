/**
 * Energy audit, always on: what the cells gave = what became heat and work + what is stored now - what was stored before.
 *
 * Every term is booked in the step where it happens, with the mean current, speed and voltage of that step. The residual
 * is a signal; a run whose residual leaves its bound is not valid.
 */
import type { BridgeParams, DrillParams, ShaftParams } from './params.ts';
import { contactTwist } from './shaft.ts';
import { type SlotName, slot } from './slots.ts';
import { packResistance_ohm, storedSupply } from './supply.ts';
import { fieldEnergy, type WindingMap } from './winding.ts';
import { work } from './work.ts';

/** Accounts that take energy, with the words a report uses. */
export const ACCOUNTS: readonly (readonly [SlotName, string])[] = [
  ['lossPack', 'pack and contact'],
  ['lossLink', 'link'],
  ['lossLogic', 'logic supply'],
  ['lossSwitch', 'switches'],
  ['lossDiode', 'diodes'],
  ['lossShunt', 'shunts'],
  ['lossCopper', 'copper'],
  ['lossRotor', 'rotor friction'],
  ['lossGear', 'gear'],
  ['lossChuck', 'chuck friction'],
  ['work', 'load'],
];
const ACCOUNT_SLOTS = ACCOUNTS.map(([name]) => slot(name));

const OCV = slot('ocv');
const PASSED = slot('passed');
const SOURCE = slot('source');
const LOSS_PACK = slot('lossPack');
const LOSS_LINK = slot('lossLink');
const LOSS_LOGIC = slot('lossLogic');
const LOSS_SWITCH = slot('lossSwitch');
const LOSS_DIODE = slot('lossDiode');
const LOSS_SHUNT = slot('lossShunt');
const LOSS_COPPER = slot('lossCopper');
const LOSS_ROTOR = slot('lossRotor');
const LOSS_GEAR = slot('lossGear');
const LOSS_CHUCK = slot('lossChuck');
const WORK = slot('work');
const STORED0 = slot('stored0');
const ON = slot('onA');
const DIODE = slot('diodeA');
const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const TWIST = slot('twist');
const PSI_A = slot('psiAlpha');
const PSI_B = slot('psiBeta');
const COS = slot('cos');
const SIN = slot('sin');

const I_A = work('iAlpha');
const I_B = work('iBeta');
const DT = work('dt');
const PER_RATIO = work('perRatio');
const MESH_LOSS = work('meshLoss');
const PHASE = work('phaseA');
const POLE = work('poleA');
const PACK = work('pack');
const LINK = work('link');
const INTO = work('capacitor');
const RC1_MID = work('rc1Mid');
const RC2_MID = work('rc2Mid');
const ROTOR1 = work('rotor1');
const CHUCK1 = work('chuck1');
const SPRING = work('spring');
const DAMPER = work('damper');
const ROTOR_HOLD = work('rotorHold');
const CHUCK_HOLD = work('chuckHold');
const LOAD_LOW = work('loadLow');
const LOAD_HIGH = work('loadHigh');

/** Books the electrical side of the step. */
export function bookElectrical(x: Float64Array, w: Float64Array, p: DrillParams): void {
  const dt = w[DT];
  const n = p.pack.series;
  const pack = w[PACK];
  const given = x[OCV] * pack * dt;
  x[SOURCE] += given;
  x[PASSED] += given < 0 ? -given : given;
  const rc = (w[RC1_MID] * w[RC1_MID]) / p.pack.r1_ohm + (w[RC2_MID] * w[RC2_MID]) / p.pack.r2_ohm;
  x[LOSS_PACK] += dt * (pack * pack * packResistance_ohm(p.pack) + rc / n);
  x[LOSS_LINK] += dt * p.link.esr_ohm * w[INTO] * w[INTO];
  x[LOSS_LOGIC] += (dt * w[LINK] * w[LINK]) / p.link.logic_ohm;
  for (let k = 0; k < 3; k++) bookLeg(x, w, p.bridge, k);
  x[LOSS_COPPER] += dt * 1.5 * p.winding.r_ohm * (w[I_A] * w[I_A] + w[I_B] * w[I_B]);
}

/** Books the heat of leg k. */
function bookLeg(x: Float64Array, w: Float64Array, p: BridgeParams, k: number): void {
  const dt = w[DT];
  const i = w[PHASE + k];
  if (x[ON + k] === 1) x[LOSS_SWITCH] += dt * p.rds_ohm * i * i;
  else if (x[ON + k] === -1) {
    x[LOSS_SWITCH] += dt * p.rds_ohm * i * i;
    x[LOSS_SHUNT] += dt * p.shunt_ohm * i * i;
  } else if (x[DIODE + k] === 1) x[LOSS_DIODE] -= dt * i * (p.diode_V - p.diode_ohm * i);
  else if (x[DIODE + k] === -1) {
    x[LOSS_DIODE] += dt * i * (p.diode_V + p.diode_ohm * i);
    x[LOSS_SHUNT] += dt * p.shunt_ohm * i * i;
  } else x[LOSS_DIODE] -= dt * w[POLE + k] * i; // what rounding leaves in a blocked leg
}

/** Books the mechanical side of the step; call before the new speeds are stored. */
export function bookMechanical(x: Float64Array, w: Float64Array, p: ShaftParams): void {
  const dt = w[DT];
  const perRatio = w[PER_RATIO];
  const rotor = 0.5 * (x[ROTOR] + w[ROTOR1]);
  const chuck = 0.5 * (x[CHUCK] + w[CHUCK1]);
  const passed = w[SPRING] + w[DAMPER];
  const input = (passed < 0 ? -passed : passed) * perRatio;
  // Friction of bearing and mesh share one multiplier; it is split by their bounds.
  const friction = p.rotorFriction_Nm;
  const mesh = w[MESH_LOSS] * input;
  const held = -dt * w[ROTOR_HOLD] * rotor;
  const bearing = friction + mesh > 0 ? (held * friction) / (friction + mesh) : held;
  x[LOSS_ROTOR] += bearing + dt * p.rotorViscous_Nms * rotor * rotor;
  x[LOSS_GEAR] += held - bearing + dt * w[DAMPER] * (rotor * perRatio - chuck);
  const loadShare = chuckLoadShare(w, p);
  const taken = -dt * w[CHUCK_HOLD] * chuck;
  x[WORK] += taken * loadShare;
  x[LOSS_CHUCK] += taken * (1 - loadShare);
}

/** Share of the torque that holds the chuck which is the load's, by the bounds on the side that acts. */
export function chuckLoadShare(w: Float64Array, p: ShaftParams): number {
  const friction_Nm = p.chuckFriction_Nm;
  const bound = w[CHUCK_HOLD] < 0 ? -w[LOAD_LOW] : w[LOAD_HIGH];
  return bound + friction_Nm > 0 ? bound / (bound + friction_Nm) : 0;
}
/** Energy stored in link, RC pairs, field, motion and gearbox [J]. */
export function stored_J(x: Float64Array, p: DrillParams, map: WindingMap): number {
  const xd = x[COS] * x[PSI_A] + x[SIN] * x[PSI_B] - p.winding.magnet_Wb;
  const xq = x[COS] * x[PSI_B] - x[SIN] * x[PSI_A];
  const bent = contactTwist(x[TWIST], p.gear.halfPlay_rad);
  const motion = p.shaft.rotor_kgm2 * x[ROTOR] * x[ROTOR] + p.shaft.chuck_kgm2 * x[CHUCK] * x[CHUCK];
  return (
    storedSupply(x, p.pack, p.link) + fieldEnergy(map, xd, xq) + 0.5 * (motion + p.gear.stiffness_Nm_rad * bent * bent)
  );
}

/** Energy that does not balance [J]: source - losses - work - growth of what is stored. */
export function residual_J(x: Float64Array, p: DrillParams, map: WindingMap): number {
  let spent = 0;
  for (let k = 0; k < ACCOUNT_SLOTS.length; k++) spent += x[ACCOUNT_SLOTS[k]];
  return x[SOURCE] - spent - (stored_J(x, p, map) - x[STORED0]);
}

/** Residual as a share of the energy that passed; 0 before anything passed. */
export function residualShare(x: Float64Array, p: DrillParams, map: WindingMap): number {
  return x[PASSED] > 0 ? residual_J(x, p, map) / x[PASSED] : 0;
}
