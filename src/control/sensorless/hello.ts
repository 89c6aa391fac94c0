/** What the sensorless firmware says of itself. */
import { PROTOCOL_VERSION } from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { BOARD, type Build } from '../settings.ts';

/** Name of the firmware build, as its Hello states it. */
export const SENSORLESS_FIRMWARE = 'sensorless-1';

export function helloOf(build: Build): Hello {
  return Object.freeze({
    version: PROTOCOL_VERSION,
    board: 'built-in board, no rotor sensor',
    firmware: SENSORLESS_FIRMWARE,
    pwm_Hz: BOARD.pwm_Hz,
    shunts: build.shunts ?? 'abc',
    currentPerCount_A: BOARD.currentPerCount_A,
    currentZero_counts: BOARD.currentZero_counts,
    linkPerCount_V: build.linkPerCount_V,
    triggerLow_counts: BOARD.triggerLow_counts,
    triggerHigh_counts: BOARD.triggerHigh_counts,
    halls: false,
    virtualTick: true,
    watch: Object.freeze([
      Object.freeze({ name: 'angle', unit: 'rad', signal: 'rotorAngle' }),
      Object.freeze({ name: 'motor speed', unit: 'rad/s', signal: 'motorSpeed' }),
      Object.freeze({ name: 'current d', unit: 'A', signal: 'currentD' }),
      Object.freeze({ name: 'current q', unit: 'A', signal: 'currentQ' }),
      Object.freeze({ name: 'current limit', unit: 'A' }),
      Object.freeze({ name: 'weight of injection', unit: '' }),
      Object.freeze({ name: 'bridge heat', unit: 'K' }),
      Object.freeze({ name: 'motor heat', unit: 'K', signal: 'windingHeat' }),
    ]) as unknown as Hello['watch'],
  });
}
