/** One frame of each kind with its bytes on the wire, worked out by hand from the frame tables. */
import type { Frame, ValuesOf } from '../../src/protocol/dsl.ts';
import {
  BEAT,
  BYE,
  type Drive,
  GREET,
  NOTE,
  POWER,
  REFUSE,
  REPORT,
  SCENE,
  type Sense,
  WELCOME,
} from '../../src/protocol/frames.ts';
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

export interface Sample<T extends Frame = Frame> {
  readonly frame: T;
  readonly values: ValuesOf<T>;
  readonly hex: string;
}
const sample = <T extends Frame>(frame: T, values: ValuesOf<T>, hex: string) => ({ frame, values, hex }) as Sample;

/** The other frames, each with its bytes by hand; gaps in the text stand between fields. */
export const SAMPLES: readonly Sample[] = [
  sample(GREET, { version: 3 }, '03 00  00 00'),
  // 50 us are 50 000 = 0xC350 counts, 2 s are 2000 = 0x07D0
  sample(
    WELCOME,
    { version: 3, coupling: 1, credits: 1, tick: 50_000, patience: 2000 },
    '03 00  01  01  50 c3 00 00  d0 07  00 00',
  ),
  sample(REFUSE, { version: 3, reason: 3, text: 'no Hall' }, '03 00  03  00  6e 6f 20 48 61 6c 6c'),
  sample(POWER, { tick: 0x01020304, levels: 1 }, '04 03 02 01  01  00 00 00'),
  // the degree sign, U+00B0, is C2 B0 in UTF-8
  sample(NOTE, { level: 1, text: '80 °C' }, '01  38 30 20 c2 b0 43'),
  // 1 s is 1 000 000 = 0x000F4240 counts
  sample(BEAT, { number: 0xfffe, levels: 1, clock: 1_000_000 }, 'fe ff  01  00  40 42 0f 00'),
  sample(BYE, { reason: 2 }, '02  00 00 00'),
  // 18 = 1.125 * 2^4: exponent 131, fraction .001; 300 = 1.171875 * 2^8; 320 = 1.25 * 2^8; 2^-16: exponent 111
  sample(
    SCENE,
    {
      number: 258,
      levels: 3,
      gear: 2,
      clock: 50_000_000,
      trigger: 2048,
      open: 18,
      source: 0.0625,
      hold: 0.5,
      push: -0.25,
      inertia: 2 ** -16,
      winding: 300,
      bridge: 320,
    },
    '02 01  03  02  80 f0 fa 02  00 08  00 00  00 00 90 41  00 00 80 3d  00 00 00 3f  00 00 80 be  00 00 80 37  00 00 96 43  00 00 a0 43',
  ),
  // three and a quarter turns are 3 * 65536 + 16384 = 0x00034000 counts; 1000 = 1.953125 * 2^9
  sample(
    REPORT,
    {
      number: 258,
      state: 2,
      trip: 0,
      angle: 0x34000,
      speed: 1000,
      torque: -0.25,
      drawn: 1.5,
      loss: 2,
      busy: 35,
      watch: Float32Array.of(1),
    },
    '02 01  02  00  00 40 03 00  00 00 7a 44  00 00 80 be  00 00 c0 3f  00 00 00 40  23 00  00 00  00 00 80 3f',
  ),
];
