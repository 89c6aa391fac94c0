/**
 * Rotor, gearbox and chuck.
 *
 * Model   two inertias with a spring across free play between them, seen at the output; dry friction at both.
 *         Spring and damper act only in contact, and the damper never outweighs the spring: teeth can push, not pull.
 *         Mesh loss is dry friction at the input that grows with the torque passed, so it brakes in both directions of
 *         power flow and can hold.
 * Scheme  mean speeds move angle and twist; the spring torque is the difference quotient of its energy, so energy in =
 *         energy out for any step. Dry friction is a bounded multiplier: whatever torque makes the speed at the end
 *         zero, if that lies within its bounds, else the bound.
 * Source  Acary, Brogliato: Numerical Methods for Nonsmooth Dynamical Systems, Springer 2008 (from memory);
 *         contact damping that cannot pull: Nordin, Galic', Gutman, "New models for backlash and gear play",
 *         Int. J. Adapt. Control Signal Process. 11, 1997, 49-63.
 */
import type { GearParams, ShaftParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const COS = slot('cos');
const SIN = slot('sin');
const ROTOR = slot('rotorSpeed');
const CHUCK = slot('chuckSpeed');
const TWIST = slot('twist');

const DT = work('dt');
const PER_RATIO = work('perRatio');
const MESH_LOSS = work('meshLoss');
const AIR_GAP = work('airGap');
const ROTOR1 = work('rotor1');
const CHUCK1 = work('chuck1');
const TWIST1 = work('twist1');
const SPRING = work('spring');
const DAMPER = work('damper');
const ROTOR_HOLD = work('rotorHold');
const CHUCK_HOLD = work('chuckHold');
const LOAD_LOW = work('loadLow');
const LOAD_HIGH = work('loadHigh');
const COS_MID = work('cosMid');
const SIN_MID = work('sinMid');
const COS_HALF = work('cosHalf');
const SINC = work('sinc');
const COS1 = work('cos1');
const SIN1 = work('sin1');

/** Ratio of a planetary train with fixed rings: the product of 1 + ring/sun over its stages (Willis). */
export function gearRatio(stages: readonly (readonly [number, number])[], count: number): number {
  let ratio = 1;
  for (let k = 0; k < count; k++) ratio *= 1 + stages[k][1] / stages[k][0];
  return ratio;
}

/** Part of the twist that bends the teeth [rad]: zero inside the free play. */
export function contactTwist(twist_rad: number, halfPlay_rad: number): number {
  if (twist_rad > halfPlay_rad) return twist_rad - halfPlay_rad;
  return twist_rad < -halfPlay_rad ? twist_rad + halfPlay_rad : 0;
}

/** Spring and damper torque of the gearbox over the step, for the twist reached with the present guess of the speeds. */
export function gearTorque(x: Float64Array, w: Float64Array, p: GearParams): void {
  const rate = 0.5 * ((x[ROTOR] + w[ROTOR1]) * w[PER_RATIO] - (x[CHUCK] + w[CHUCK1]));
  const play = p.halfPlay_rad;
  const start = x[TWIST];
  const turned = w[DT] * rate;
  const end = start + turned;
  const from = start > play ? start - play : start < -play ? start + play : 0;
  const to = end > play ? end - play : end < -play ? end + play : 0;
  // (U1 - U0) / (twist1 - twist0) with U = k c^2 / 2; inside one contact the quotient (to - from) / turned is 1.
  const free = (from === 0) !== (to === 0) || from * to < 0;
  const share = free ? (to - from) / turned : from === 0 ? 0 : 1;
  const spring = 0.5 * p.stiffness_Nm_rad * (from + to) * share;
  const limit = spring < 0 ? -spring : spring;
  let damper = p.damping_Nms * rate;
  if (damper > limit) damper = limit;
  if (damper < -limit) damper = -limit;
  w[TWIST1] = end;
  w[SPRING] = spring;
  w[DAMPER] = damper;
}

/** Speeds at the end of the step under the mean air-gap, gear, friction and load torques. */
export function advanceSpeeds(x: Float64Array, w: Float64Array, p: ShaftParams): void {
  const perStep = 1 / w[DT];
  const passed = w[SPRING] + w[DAMPER];
  const drag = 0.5 * p.rotorViscous_Nms;
  const j = p.rotor_kgm2 * perStep;
  const push = x[ROTOR] * (j - drag) + w[AIR_GAP] - passed * w[PER_RATIO];
  const bound = p.rotorFriction_Nm + w[MESH_LOSS] * (passed < 0 ? -passed : passed) * w[PER_RATIO];
  const hold = push > bound ? -bound : push < -bound ? bound : -push;
  w[ROTOR_HOLD] = hold;
  w[ROTOR1] = (push + hold) / (j + drag);

  const jc = p.chuck_kgm2 * perStep;
  const pushChuck = x[CHUCK] * jc + passed;
  const low = w[LOAD_LOW] - p.chuckFriction_Nm;
  const high = w[LOAD_HIGH] + p.chuckFriction_Nm;
  const holdChuck = -pushChuck < low ? low : Math.min(-pushChuck, high);
  w[CHUCK_HOLD] = holdChuck;
  w[CHUCK1] = (pushChuck + holdChuck) / jc;
}

/** Turns the electrical frame by the step: cosine and sine at its middle and end, by recurrence from the start. */
export function turnFrame(x: Float64Array, w: Float64Array, polePairs: number): void {
  const half = 0.25 * polePairs * w[DT] * (x[ROTOR] + w[ROTOR1]);
  const q = half * half;
  // Half the angle of a step stays below 0.03 rad (2 us, 30 000 rad/s electrical): terms beyond q^4 vanish.
  const sinc = 1 - q * (1 / 6 - q * (1 / 120 - q * (1 / 5040 - q * (1 / 362880))));
  const ch = 1 - q * (0.5 - q * (1 / 24 - q * (1 / 720 - q * (1 / 40320))));
  const sh = half * sinc;
  const cm = x[COS] * ch - x[SIN] * sh;
  const sm = x[SIN] * ch + x[COS] * sh;
  w[COS_HALF] = ch;
  w[SINC] = sinc;
  w[COS_MID] = cm;
  w[SIN_MID] = sm;
  w[COS1] = cm * ch - sm * sh;
  w[SIN1] = sm * ch + cm * sh;
}
