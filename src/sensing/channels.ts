/**
 * Channels of the converter, and those that stand still: at an end of the range, or at the reading at which they froze. That reading is
 * kept in the plant vector, plus 1, and forgotten when the channel moves again.
 */
import { STUCK } from '../plant/damage.ts';
import { slot } from '../plant/slots.ts';

/** Analog channels, in the order in which they are converted. */
export const CH = Object.freeze({
  ia: 0,
  link: 3,
  trigger: 4,
  heatBridge: 5,
  heatMotor: 6,
  phaseA: 7,
  gyro: 10,
  accel: 11,
});
export const CHANNELS = 12;

const STANDS = slot('stuckA');
const HELD = slot('heldA');

/** Channels that can stand still: three currents, link, gyro, in the order of their slots. */
const CAN_STAND = Uint8Array.of(CH.ia, CH.ia + 1, CH.ia + 2, CH.link, CH.gyro);

/** Puts readings that stand still into `read`. */
export function holdStuck(x: Float64Array, read: Uint16Array, fitted: Uint8Array, top: number): void {
  for (let n = 0; n < CAN_STAND.length; n++) {
    const bits = x[STANDS + n];
    if (bits === 0) {
      x[HELD + n] = 0;
      continue;
    }
    const channel = CAN_STAND[n];
    if (fitted[channel] === 0) continue;
    if ((bits & STUCK.frozen) === 0) x[HELD + n] = 0;
    else if (x[HELD + n] === 0) x[HELD + n] = read[channel] + 1;
    if ((bits & STUCK.low) !== 0) read[channel] = 0;
    else if ((bits & STUCK.high) !== 0) read[channel] = top;
    else read[channel] = x[HELD + n] - 1;
  }
}
