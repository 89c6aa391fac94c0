/** One frame of each kind with its bytes on the wire, worked out by hand from the frame tables. */
import type { Drive, Sense } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';

export const SENSE_SAMPLE: Sense = {
  tick: 0x01020304,
  flags: 0b001011, // boot, In, Hall A
  ia: 2048,
  ib: 0x0123,
  ic: 0xffff,
  link: 2031,
  trigger: 410,
  hallAge: 0,
  heatBridge: 2047,
  heatMotor: 533,
  phaseA: 1000,
  phaseB: 0,
  phaseC: 0xffff,
  gyro: 2049,
  accel: 2047,
};
/** tick, flags, ia, ib, ic, link, trigger, hallAge, two thermistors, three phases, gyro, accel. */
export const SENSE_HEX =
  '04 03 02 01 0b 00 00 08 23 01 ff ff ef 07 9a 01 00 00 ff 07 15 02 e8 03 00 00 ff ff 01 08 ff 07';

export const DRIVE_SAMPLE: Drive = {
  tick: 0x01020304,
  gates: 0b011,
  state: 2,
  trip: 0,
  dutyA: 32768,
  dutyB: 0,
  dutyC: 1,
  busy: 35,
  watch: Float32Array.of(1.5, 0),
};
/** tick, gates, state, trip, reserved, three duties, busy, two watch values. */
export const DRIVE_HEX = '04 03 02 01 03 02 00 00 00 80 00 00 01 00 23 00 00 00 c0 3f 00 00 00 00';

export const HELLO_SAMPLE: Hello = {
  version: 3,
  board: 'six-step board',
  uid: 'bench 7',
  firmware: 'a1b2c3',
  pwm_Hz: 20_000,
  updates: 1,
  bits: 12,
  shunts: 'abc',
  currentPerCount_A: 0.0805664,
  currentZero_counts: 2048,
  linkPerCount_V: 0.0088623,
  triggerLow_counts: 410,
  triggerHigh_counts: 3686,
  halls: true,
  virtualTick: true,
  watch: [{ name: 'speed', unit: 'rad/s', signal: 'motorSpeed' }],
};
