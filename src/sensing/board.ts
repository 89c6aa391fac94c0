/** The measuring side of a controller board: what it has fitted and how it scales. Checked and frozen when made. */
import { requirePositive, requireRange } from '../units/checks.ts';

export type ShuntFit = 'abc' | 'ab' | 'bc' | 'ac';

export interface BoardParams {
  /** Legs whose low-side shunt is read. */ readonly shunts: ShuntFit;
  readonly bits: number;
  readonly reference_V: number;
  readonly shunt_ohm: number;
  readonly shuntGain: number;
  /** Offset of each current channel [counts]. */ readonly shuntOffset_counts: readonly [number, number, number];
  /** Noise of each analogue channel, deviation [counts]. */ readonly noise_counts: number;
  /** Link voltage over converter voltage. */ readonly linkDivider: number;
  readonly triggerLow_counts: number;
  readonly triggerHigh_counts: number;
  /** Three Halls are fitted; without them their bits read 0. */ readonly halls: boolean;
}

/** The board of the bench drill; every number is illustrative, common practice, no source. */
export const BENCH_BOARD: BoardParams = boardParams({
  shunts: 'abc',
  bits: 12,
  reference_V: 3.3,
  shunt_ohm: 0.0005,
  shuntGain: 20,
  shuntOffset_counts: [6, -9, 4],
  noise_counts: 1.5,
  linkDivider: 11,
  triggerLow_counts: 410,
  triggerHigh_counts: 3686,
  halls: true,
});

/** Checks and freezes a board. Throws RangeError naming item, value and what is allowed. */
export function boardParams(b: BoardParams): BoardParams {
  requireRange('board.bits', b.bits, 8, 15, 'bit');
  requirePositive('board.reference_V', b.reference_V, 'V');
  requirePositive('board.shunt_ohm', b.shunt_ohm, 'ohm');
  requirePositive('board.shuntGain', b.shuntGain, '');
  requirePositive('board.linkDivider', b.linkDivider, '');
  requireRange('board.noise_counts', b.noise_counts, 0, 100, 'counts');
  const top = 2 ** b.bits - 1;
  for (const offset of b.shuntOffset_counts)
    requireRange('board.shuntOffset_counts', offset, -top / 4, top / 4, 'counts');
  requireRange('board.triggerLow_counts', b.triggerLow_counts, 0, top, 'counts');
  requireRange('board.triggerHigh_counts', b.triggerHigh_counts, b.triggerLow_counts + 1, top, 'counts');
  return Object.freeze({ ...b });
}

/** Phase current that one count stands for [A]. */
export function currentPerCount_A(b: BoardParams): number {
  return b.reference_V / 2 ** b.bits / (b.shunt_ohm * b.shuntGain);
}

/** Count of zero current, offset left aside. */
export function currentZero_counts(b: BoardParams): number {
  return 2 ** (b.bits - 1);
}

/** Link voltage that one count stands for [V]. */
export function linkPerCount_V(b: BoardParams): number {
  return (b.reference_V / 2 ** b.bits) * b.linkDivider;
}
