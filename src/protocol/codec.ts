/**
 * Every frame to and from bytes. Those of every tick come from tick-codecs.ts, which is made from the declarations; the
 * others are read off their declarations as they go (codec-of.ts).
 */
import { codecOf } from './codec-of.ts';
import {
  BEAT,
  BYE,
  DRIVE,
  type Drive,
  GREET,
  NOTE,
  POWER,
  REFUSE,
  REPORT,
  type Report,
  SCENE,
  type Scene,
  type Sense,
  WELCOME,
} from './frames.ts';

export { decodeDrive, decodeSense, encodeDrive, encodeSense } from './tick-codecs.ts';

export const { encode: encodeGreet, decode: decodeGreet } = codecOf(GREET);
export const { encode: encodeWelcome, decode: decodeWelcome } = codecOf(WELCOME);
export const { encode: encodeRefuse, decode: decodeRefuse } = codecOf(REFUSE);
export const { encode: encodePower, decode: decodePower } = codecOf(POWER);
export const { encode: encodeNote, decode: decodeNote } = codecOf(NOTE);
export const { encode: encodeBeat, decode: decodeBeat } = codecOf(BEAT);
export const { encode: encodeBye, decode: decodeBye } = codecOf(BYE);
export const { encode: encodeScene, decode: decodeScene } = codecOf(SCENE);
export const { encode: encodeReport, decode: decodeReport } = codecOf(REPORT);

/** A Sense with every field 0. */
export function blankSense(): Sense {
  return {
    tick: 0,
    flags: 0,
    ia: 0,
    ib: 0,
    ic: 0,
    link: 0,
    trigger: 0,
    hallAge: 0,
    heatBridge: 0,
    heatMotor: 0,
    phaseA: 0,
    phaseB: 0,
    phaseC: 0,
    gyro: 0,
    accel: 0,
  };
}

/** A Drive with every field 0, gates off, and room for `watchCount` watch values (0 to 32). */
export function blankDrive(watchCount: number): Drive {
  if (!Number.isInteger(watchCount) || watchCount < 0 || watchCount > DRIVE.fields.watch.most) {
    throw new RangeError(`watchCount is ${watchCount}; allowed is 0 to ${DRIVE.fields.watch.most}`);
  }
  const watch = new Float32Array(watchCount);
  return { tick: 0, gates: 0, state: 0, trip: 0, dutyA: 0, dutyB: 0, dutyC: 0, busy: 0, watch };
}

/** A Scene with every field 0: no power. */
export function blankScene(): Scene {
  const zeros = { open: 0, source: 0, hold: 0, push: 0, inertia: 0, winding: 0, bridge: 0 };
  return { number: 0, levels: 0, gear: 0, clock: 0, trigger: 0, ...zeros };
}

/** A Report with every field 0 and room for `watchCount` watch values (0 to 32). */
export function blankReport(watchCount: number): Report {
  const { watch } = blankDrive(watchCount);
  return { number: 0, state: 0, trip: 0, angle: 0, speed: 0, torque: 0, drawn: 0, loss: 0, busy: 0, watch };
}
