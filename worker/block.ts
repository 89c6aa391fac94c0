/**
 * Layout of one block of samples, written by the worker and read by the page. Blocks are transferred, never copied,
 * and come back empty over the same port, so that a steady run allocates nothing.
 *
 *   head    Float64 x HEAD.length
 *   now     Float64 x SIGNALS.length        the latest sample, every signal
 *   run     Float32 x 2 x RUN.length        per column: lowest and highest value over RUN_COLUMN_TICKS periods
 *   ticks   Float32 x TICK.length           per PWM period, the last of them only
 */
import { SIGNALS, type SignalId } from '../src/signals.ts';

/** Numbers that describe the block and the pacing. */
export const HEAD = [
  'running', // 1 while time runs
  'pace', // virtual seconds per wall second asked for
  'ratio', // virtual seconds per wall second reached, over about one second
  'lost_s', // virtual time dropped since the start because the machine was too slow
  'stopped', // 1 from Stop until the next squeeze
  'fault', // 1 when the plant stands still because a value was not finite
  'lockStep', // 1 when the controller is behind a link and the drill waits for its answers
  'gone', // 1 when the controller is lost: all legs open for good
  'armed', // 1 when the trigger reaches the controller; a board is armed by hand
  'firstColumn', // number of the first run column in this block, counted from the start of the run
  'columns',
  'firstTick', // number of the first tick in this block
  'ticks',
  'epoch', // counts benches: loading another one starts the record anew
  'turn', // counts rewinds: the record goes on from another tick than the last one it has
  'tick', // where the bench stands
  'again', // 1 while it goes through deeds of before: the hands are told by what follows
  'trigger', // what the hands do, as a person set them
  'direction',
  'gear',
  'grip_Nm',
  'meets',
  'clutch',
  'wrist',
  'push_N',
] as const;
export type HeadName = (typeof HEAD)[number];
export const HEAD_INDEX = Object.fromEntries(HEAD.map((n, k) => [n, k])) as Readonly<Record<HeadName, number>>;

/** Kept at every PWM period for the close-up: signals, and electrical speed and angle that the board believes in. */
export const TICK = [
  'link',
  'sensedLink',
  'currentA',
  'currentB',
  'currentC',
  'sensedA',
  'sensedB',
  'sensedC',
  'currentD',
  'currentQ',
  'rotorAngle',
  'hall',
  'electricalSpeed',
  'gearTorque',
  'screwDepth',
  'trigger',
  'boardSpeed',
  'boardAngle',
] as const satisfies readonly (SignalId | 'boardSpeed' | 'boardAngle')[];
export type TickName = (typeof TICK)[number];
export const TICK_INDEX = Object.fromEntries(TICK.map((n, k) => [n, k])) as Readonly<Record<TickName, number>>;

/** What the run track keeps. `phase` spans all three currents; `lead` is the angle from rotor flux to current. */
export const RUN = [
  'link',
  'phase',
  'currentD',
  'currentQ',
  'lead',
  'electricalSpeed',
  'gearTorque',
  'screwDepth',
  'trigger',
  'boardSpeed',
] as const;
export type RunName = (typeof RUN)[number];
export const RUN_INDEX = Object.fromEntries(RUN.map((n, k) => [n, k])) as Readonly<Record<RunName, number>>;

/** One run column stands for 5 ms at 20 kHz: a third of a pixel of the usual track, so that zooming out loses nothing. */
export const RUN_COLUMN_TICKS = 100;
/** A phase current below this has no direction worth showing [A]. */
export const LEAD_FLOOR_A = 3;
export const MAX_COLUMNS = 128;
/** The close-up shows at most this many periods. */
export const MAX_TICKS = 256;

const HEAD_BYTES = HEAD.length * 8;
const NOW_BYTES = SIGNALS.length * 8;
const RUN_BYTES = MAX_COLUMNS * RUN.length * 2 * 4;
export const BLOCK_BYTES = HEAD_BYTES + NOW_BYTES + RUN_BYTES + MAX_TICKS * TICK.length * 4;

export interface BlockViews {
  readonly head: Float64Array;
  readonly now: Float64Array;
  readonly run: Float32Array;
  readonly ticks: Float32Array;
}

/** Views over a block. Throws RangeError if the buffer has another size. */
export function blockViews(buffer: ArrayBuffer): BlockViews {
  if (buffer.byteLength !== BLOCK_BYTES) {
    throw new RangeError(`block has ${buffer.byteLength} bytes; allowed is ${BLOCK_BYTES}`);
  }
  return {
    head: new Float64Array(buffer, 0, HEAD.length),
    now: new Float64Array(buffer, HEAD_BYTES, SIGNALS.length),
    run: new Float32Array(buffer, HEAD_BYTES + NOW_BYTES, MAX_COLUMNS * RUN.length * 2),
    ticks: new Float32Array(buffer, HEAD_BYTES + NOW_BYTES + RUN_BYTES, MAX_TICKS * TICK.length),
  };
}
