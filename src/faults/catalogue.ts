/** Every fault that can be injected, by id, in the order of the places. */

import { BOARD_FAULTS } from './entries/board.ts';
import { BRIDGE_FAULTS } from './entries/bridge.ts';
import { CONTROLS_FAULTS } from './entries/controls.ts';
import { FRAMES_FAULTS } from './entries/frames.ts';
import { LINK_FAULTS } from './entries/link.ts';
import { MECHANICS_FAULTS } from './entries/mechanics.ts';
import { MOTOR_FAULTS } from './entries/motor.ts';
import { PACK_FAULTS } from './entries/pack.ts';
import { SENSING_FAULTS } from './entries/sensing.ts';
import type { FaultEntry } from './entry.ts';

const LIST: readonly FaultEntry[] = [
  ...PACK_FAULTS,
  ...LINK_FAULTS,
  ...BRIDGE_FAULTS,
  ...MOTOR_FAULTS,
  ...MECHANICS_FAULTS,
  ...SENSING_FAULTS,
  ...CONTROLS_FAULTS,
  ...BOARD_FAULTS,
  ...FRAMES_FAULTS,
];

export const FAULTS: Readonly<Record<string, FaultEntry>> = Object.freeze(
  Object.fromEntries(LIST.map((entry) => [entry.id, entry])),
);

if (Object.keys(FAULTS).length !== LIST.length) throw new RangeError('two faults of the catalogue have the same id');
