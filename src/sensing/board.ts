/** The measuring side of a controller board: what it has fitted and how it scales. Checked and frozen when made. */
import { type Band, checkGroup, list, number, type ValuesOf, whole } from '../plant/params/band.ts';
import type { DrillParams } from '../plant/params.ts';
import { requireRange } from '../units/checks.ts';

export type ShuntFit = 'abc' | 'ab' | 'bc' | 'ac';

/** Every number of a board: band, unit, meaning. Lists have one entry a leg. */
export const BOARD = Object.freeze({
  bits: whole(8, 15, 'bits of the converter'),
  reference_V: number(1, 6, 'V', 'nominal reference of the converter'),
  referenceError: number(-0.1, 0.1, '', 'deviation of the reference, as a share'),
  dropout_V: number(0, 40, 'V', 'link voltage below which the reference sinks with it'),
  shunt_ohm: number(5e-5, 0.02, 'ohm', 'shunt under each low switch, as the board is built'),
  shuntGain: number(1, 5000, '', 'gain from shunt to converter'),
  shuntGainError: list(-0.5, 0.5, '', 'deviation of the gain of each current channel, as a share'),
  shuntOffset_counts: list(-1e4, 1e4, 'counts', 'offset of each current channel'),
  shuntDrift_counts_K: number(-20, 20, 'counts/K', 'change of these offsets per kelvin of the sink above 25 °C'),
  settle_s: number(0, 2e-5, 's', 'time constant of the current amplifiers'),
  slew_V_s: number(1e4, 1e9, 'V/s', 'fastest change of their output'),
  sampleDelay_s: number(0, 5e-6, 's', 'from the middle of the low-side interval until the converter holds'),
  jitter_s: number(0, 1e-6, 's', 'deviation of that moment'),
  skew_s: number(0, 5e-6, 's', 'by which each current channel is sampled after the one before'),
  noise_counts: number(0, 100, 'counts', 'noise of each analog channel, deviation'),
  linkDivider: number(1, 1000, '', 'link voltage over converter voltage'),
  triggerLow_counts: number(0, 32767, 'counts', 'trigger reading when released'),
  triggerHigh_counts: number(1, 32767, 'counts', 'trigger reading when pulled fully'),
  phaseDivider: number(1, 1000, '', 'phase voltage over converter voltage'),
  phaseFilter_s: number(0, 0.1, 's', 'time constant of the filter behind these dividers'),
  ntc_ohm: number(100, 1e6, 'ohm', 'thermistors at 25 °C'),
  ntcB_K: number(1000, 6000, 'K', 'exponent B of their law'),
  ntcC_1_K: number(-0.01, 0.01, '1/K', 'its correction, linear in the distance from 25 °C'),
  ntcD_1_K2: number(-1e-4, 1e-4, '1/K²', 'and square in it'),
  ntcPullUp_ohm: number(100, 1e6, 'ohm', 'resistor from the reference to each thermistor'),
  gyroPerCount_rad_s: number(1e-5, 1, 'rad/s', 'body rate of one count'),
  accelPerCount_m_s2: number(1e-4, 10, 'm/s²', 'acceleration of one count'),
  accelLever_m: number(0, 0.5, 'm', 'distance of the acceleration sensor from the spindle'),
} satisfies Record<string, Band>);

export interface BoardParams extends ValuesOf<typeof BOARD> {
  /** Legs whose low-side shunt is read. */ readonly shunts: ShuntFit;
  /** Three Halls are fitted; without them their bits read 0. */ readonly halls: boolean;
  /** Thermistors at the switches and in the winding. */ readonly thermistors: boolean;
  /** Dividers at the three phase terminals. */ readonly phases: boolean;
  /** Gyro and acceleration sensor in the housing. */ readonly motion: boolean;
}

/** The board of the bench drill; every number is illustrative, common practice, no source, unless it says otherwise. */
export const BENCH_BOARD: BoardParams = boardParams({
  shunts: 'abc',
  halls: true,
  thermistors: true,
  phases: false,
  motion: true,
  bits: 12,
  reference_V: 3.3,
  referenceError: 0,
  dropout_V: 4.5,
  shunt_ohm: 0.0005,
  shuntGain: 20,
  shuntGainError: [0, 0, 0],
  shuntOffset_counts: [6, -9, 4],
  shuntDrift_counts_K: 0.05,
  settle_s: 150e-9,
  slew_V_s: 10e6,
  sampleDelay_s: 100e-9,
  jitter_s: 5e-9,
  skew_s: 0,
  noise_counts: 1.5,
  linkDivider: 11,
  triggerLow_counts: 410,
  triggerHigh_counts: 3686,
  phaseDivider: 11,
  phaseFilter_s: 100e-6,
  // A common 10 k part, its law read on ftp.finetune.jp/~lyuka (ntc10k-42s).
  ntc_ohm: 10_000,
  ntcB_K: 3332.31,
  ntcC_1_K: 5.55745e-4,
  ntcD_1_K2: 4.74033e-7,
  ntcPullUp_ohm: 10_000,
  // Full scale 1000 degrees a second and 8 g on either side of mid-scale at 12 bits.
  gyroPerCount_rad_s: 0.0085,
  accelPerCount_m_s2: 0.0383,
  accelLever_m: 0.04,
});

/** Checks and freezes a board. Throws RangeError naming item, value and what is allowed. */
export function boardParams(b: BoardParams): BoardParams {
  const { shunts, halls, thermistors, phases, motion, ...numbers } = b;
  checkGroup('board', BOARD, numbers as unknown as Readonly<Record<string, unknown>>);
  if (!['abc', 'ab', 'bc', 'ac'].includes(shunts))
    throw new RangeError(`board.shunts is ${shunts}; allowed are abc, ab, bc, ac`);
  for (const [name, value] of Object.entries({ halls, thermistors, phases, motion }))
    if (typeof value !== 'boolean') throw new RangeError(`board.${name} is ${value}; allowed are true and false`);
  const top = 2 ** b.bits - 1;
  for (const key of ['shuntOffset_counts', 'shuntGainError'] as const)
    if (b[key].length !== 3) throw new RangeError(`board.${key} has ${b[key].length} entries; allowed is 3, one a leg`);
  for (const offset of b.shuntOffset_counts)
    requireRange('board.shuntOffset_counts', offset, -top / 4, top / 4, 'counts');
  requireRange('board.triggerLow_counts', b.triggerLow_counts, 0, top, 'counts');
  requireRange('board.triggerHigh_counts', b.triggerHigh_counts, b.triggerLow_counts + 1, top, 'counts');
  return Object.freeze({
    ...b,
    shuntOffset_counts: Object.freeze([...b.shuntOffset_counts]),
    shuntGainError: Object.freeze([...b.shuntGainError]),
  });
}

/** Link above which the board has another divider [V]. */
const HIGH_LINK_V = 30;

/** The board that goes with a drill: the bench board, with a divider that leaves room above a full pack. */
export function boardFor(drill: Pick<DrillParams, 'pack'>, change: Partial<BoardParams> = {}): BoardParams {
  const { series, ocvCell_V } = drill.pack;
  const full_V = series * ocvCell_V[ocvCell_V.length - 1];
  const divider = full_V > HIGH_LINK_V ? 18 : BENCH_BOARD.linkDivider;
  return boardParams({ ...BENCH_BOARD, linkDivider: divider, phaseDivider: divider, ...change });
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

/** Phase voltage that one count stands for [V]. */
export function phasePerCount_V(b: BoardParams): number {
  return (b.reference_V / 2 ** b.bits) * b.phaseDivider;
}
