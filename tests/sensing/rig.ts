/** The plain board with fine counts, and what it reads of a plant. */
import type { Plant } from '../../src/plant/plant.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import type { Sense } from '../../src/protocol/frames.ts';
import { type BoardParams, boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { PLAIN_BOARD } from '../support/plain-board.ts';

export const PLAIN: BoardParams = boardParams({ ...PLAIN_BOARD, bits: 15 });
/** Count of zero current. */
export const ZERO = 2 ** 14;
/** Link of the plants that these tests build [V]. */
export const VDC = 18;

/** One sample by a board that has just been powered. */
export function sampled(plant: Plant, board: BoardParams = PLAIN): Sense {
  const sense = blankSense();
  new Sensors(board).sample(plant, sense, false);
  return sense;
}

/** Counts of one sample by this board with some numbers changed, currents from zero. */
export function read(
  plant: Plant,
  change: Partial<BoardParams>,
): { ia: number; ib: number; ic: number; trigger: number } {
  const sense = sampled(plant, boardParams({ ...PLAIN, ...change }));
  return { ia: sense.ia - ZERO, ib: sense.ib - ZERO, ic: sense.ic - ZERO, trigger: sense.trigger };
}

/** Current of one count [A]. */
export const PER_COUNT = currentPerCount_A(PLAIN);
export const one = (because: string) => ({ abs: 1, because: `one count of rounding; ${because}` });
