/**
 * The tool in the hand: housing, handle and arm turn about the spindle against wrist and arm.
 *
 * Model   one inertia on a spring and a damper. The hand holds up to its grip; beyond that the tool turns in it.
 *         The slot `wrist` says how firm: 1 the parameters, 0 a vice, between and above it scales both.
 * Scheme  the torque of the hand is held for an update; what it takes is booked from the angle that the body turned.
 * Source  one-degree model of hand and arm under a reaction torque: Lin, Radwin, Richard, Ergonomics 44(3), 2001, 295-312
 *         (read; its absolute values were not visible, so those of the presets are illustrative).
 */
import type { BodyParams, ShaftParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

const WRIST = slot('wrist');
const ANGLE = slot('bodyAngle');
const SPEED = slot('bodySpeed');
const ACCEL = slot('bodyAccel');
const START = slot('bodyStart');
const FROM = slot('bodyFrom');
const TWIST = slot('wristTwist');
const STORE = slot('wristStore');
const TORQUE = slot('wristTorque');
const ROTOR = slot('rotorSpeed');
const LOSS = slot('lossWrist');
const HAND = work('hand');
const INERTIA = work('body');
const PERIOD = work('period');

/** Start of an update: the torque of the hand on the tool. */
export function beginBody(x: Float64Array, w: Float64Array, p: BodyParams, shaft: ShaftParams): void {
  if (x[WRIST] === 0 && x[SPEED] !== 0) {
    // The vice closes: it takes the motion.
    const before = 0.5 * p.body_kgm2 * x[SPEED] * x[SPEED];
    const rotor = 0.5 * shaft.rotor_kgm2 * ((x[ROTOR] + x[SPEED]) * (x[ROTOR] + x[SPEED]) - x[ROTOR] * x[ROTOR]);
    x[LOSS] += before + rotor;
    x[SPEED] = 0;
  }
  // A tool in a vice does not turn.
  w[INERTIA] = x[WRIST] > 0 ? p.body_kgm2 : Number.POSITIVE_INFINITY;
  const firm = x[WRIST];
  const most = firm * p.wristGrip_Nm;
  const torque = -firm * (p.wrist_Nm_rad * x[TWIST] + p.wrist_Nms * x[SPEED]);
  w[HAND] = torque > most ? most : Math.max(torque, -most);
  x[TORQUE] = w[HAND];
  x[START] = x[SPEED];
  x[FROM] = x[ANGLE];
}

/** End of an update: deflection of the wrist, energy that hand and arm took, acceleration for the sensor. */
export function endBody(x: Float64Array, w: Float64Array, p: BodyParams): void {
  const turned = x[ANGLE] - x[FROM];
  const firm = x[WRIST];
  const wished = -firm * (p.wrist_Nm_rad * x[TWIST] + p.wrist_Nms * x[START]);
  if (wished === w[HAND]) x[TWIST] += turned;
  const store = 0.5 * firm * p.wrist_Nm_rad * x[TWIST] * x[TWIST];
  x[LOSS] -= w[HAND] * turned + (store - x[STORE]);
  x[STORE] = store;
  x[ACCEL] = (x[SPEED] - x[START]) / w[PERIOD];
}
