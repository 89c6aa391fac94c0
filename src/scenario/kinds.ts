/** Units and ranges of everything that a scenario may say, in one place: schema, loader and messages read it. */
import type { QuantityKind } from './quantity.ts';

const TIME_UNITS = ['s', 'ms', 'us'] as const;

/** Longest run [s]: ten minutes are 12 million PWM periods, an hour of computing on a small machine. */
const LONGEST_S = 600;

export const KINDS = {
  step: { units: ['us'], range: [0.25, 2] },
  duration: { units: TIME_UNITS, range: [0.001, LONGEST_S] },
  moment: { units: TIME_UNITS, range: [0, LONGEST_S] },
  ramp: { units: TIME_UNITS, range: [0.0001, LONGEST_S] },
  trigger: { units: ['%'], range: [0, 100] },
  grip: { units: ['N·m', 'mN·m'], range: [0, 100] },
  push: { units: ['N'], range: [0, 600] },
  wrist: { units: ['%'], range: [0, 300] },
  span: { units: ['deg', 'rad'], range: [1.2, 1140] },
  ambient: { units: ['°C', 'K'], range: [-40, 60] },
  held: { units: TIME_UNITS, range: [0, LONGEST_S] },
  stay: { units: TIME_UNITS, range: [0.00005, LONGEST_S] },
  angle: { units: ['deg el'], range: [0, 360] },
  charge: { units: ['%'], range: [0, 100] },
  depth: { units: ['mm', 'm'], range: [0, 200] },
} as const satisfies Record<string, QuantityKind>;

export type KindName = keyof typeof KINDS;

/** Largest scenario text [bytes as UTF-16 units]; one with a thousand timeline entries is below 100 000. */
export const TEXT_MOST = 256 * 1024;
/** Most YAML aliases: enough for a repeated entry, too few for a text that unfolds without end. */
export const ALIASES_MOST = 50;
/** Most places at which an alias stands, and deepest nesting; a scenario has four levels. */
export const ALIAS_NODES_MOST = 1000;
export const DEPTH_MOST = 20;
export const TIMELINE_MOST = 1000;
export const CHECKS_MOST = 200;
/** Most checks that keep their whole window in memory. */
export const ORDER_CHECKS_MOST = 20;
/** Most problems that are told of one file. */
export const PROBLEMS_MOST = 100;
export const FAULTS_MOST = 20;
export const SEED_MOST = 2 ** 32 - 1;
