/** What the sensorless firmware says of itself. */
import type { Hello } from '../../protocol/hello.ts';
import { type Build, boardFacts } from '../settings.ts';

/** Name of the firmware build, as its Hello states it. */
export const SENSORLESS_FIRMWARE = 'sensorless-1';

export function helloOf(build: Build): Hello {
  return Object.freeze({
    ...boardFacts(build),
    board: 'built-in board, no rotor sensor',
    firmware: SENSORLESS_FIRMWARE,
    halls: false,
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
