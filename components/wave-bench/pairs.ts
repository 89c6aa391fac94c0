/** Pairs of quantities to be drawn over each other. Amplitude-invariant transform: a balanced set of peak I has radius I. */
import type { Channel } from '../../worker/api.ts';

export interface Pair {
  readonly channels: readonly Channel[];
  /** Both axes have the same unit and the same scale. */ readonly round: boolean;
  /** Value across and up from one sample of each channel. */
  readonly x: (values: readonly number[]) => number;
  readonly y: (values: readonly number[]) => number;
}

const first = (values: readonly number[]): number => values[0];
const second = (values: readonly number[]): number => values[1];

export const PAIRS = {
  alphaBeta: {
    channels: ['currentA', 'currentB', 'currentC'],
    round: true,
    x: ([a, b, c]) => (2 * a - b - c) / 3,
    y: ([, b, c]) => (b - c) / Math.sqrt(3),
  },
  torqueSpeed: { channels: ['motorSpeed', 'airGapTorque'], round: false, x: first, y: second },
  loadSpeed: { channels: ['chuckSpeed', 'gearTorque'], round: false, x: first, y: second },
  dq: { channels: ['currentD', 'currentQ'], round: true, x: first, y: second },
} as const satisfies Record<string, Pair>;
export type PairName = keyof typeof PAIRS;

/** Any two channels. */
export const pairOf = (x: Channel, y: Channel): Pair => ({ channels: [x, y], round: false, x: first, y: second });
