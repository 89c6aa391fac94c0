/** What the fuzz runs send, and what chance may do to them. */
import { acceptedByBoard, acceptedByHost } from '../../src/protocol/accepted.ts';
import { DRIVE, FRAMES, HELLO_ID, REPORT } from '../../src/protocol/frames.ts';
import { type FuzzFigures, fuzz, type Traffic } from './fuzz.ts';

const WATCH = 3;
const lengthsOf = (sender: 'host' | 'board') =>
  FRAMES.filter((each) => each.from === sender || each.from === 'either').flatMap((each) => {
    const { id, bytes, mostBytes } = each;
    if (each === DRIVE || each === REPORT) return [{ id, length: bytes + 4 * WATCH }];
    return bytes === mostBytes
      ? [{ id, length: bytes }]
      : [bytes + 4, bytes + 40, mostBytes].map((length) => ({ id, length }));
  });

export const TRAFFIC: Readonly<Record<'host' | 'board', Traffic>> = {
  /** Taken by the drill. */
  host: {
    accepted: acceptedByHost(WATCH),
    frames: [...lengthsOf('board'), { id: HELLO_ID, length: 250 }, { id: HELLO_ID, length: 600 }],
  },
  /** Taken by a board. */
  board: { accepted: acceptedByBoard(), frames: lengthsOf('host') },
};

export interface NamedFigures extends FuzzFigures {
  readonly run: string;
}

/** Both directions, as a stream and as messages, a quarter of the sequences each. */
export function fuzzAll(sequences: number, seed: number): NamedFigures[] {
  return (['host', 'board'] as const).flatMap((side, k) =>
    [false, true].map((messages, m) => ({
      run: `${side}, ${messages ? 'messages' : 'stream'}`,
      ...fuzz(TRAFFIC[side], messages, Math.ceil(sequences / 4), seed + 10 * k + m),
    })),
  );
}

/** Chance that one packet of chance passes a checksum of 16 bits. */
export const PASS = 2 ** -16;

/** Packets that came to the checksum and were never sent; an upper count of what could pass it. */
export function candidates({ drops, falseOther, falseFlipped, falseShaped }: FuzzFigures): number {
  return drops.badCrc + drops.wrongLength + drops.unknownId + falseOther + falseFlipped + falseShaped;
}

/**
 * Least and most of what a Poisson law of this mean gives but for one time in a million at either end: rare independent
 * passes follow it, whatever the packets are.
 */
export function poissonBand(mean: number, tail = 1e-6): { least: number; most: number } {
  let term = Math.exp(-mean);
  let below = term;
  let least = 0;
  let k = 0;
  while (1 - below >= tail) {
    if (below < tail) least = k + 1;
    k++;
    term *= mean / k;
    below += term;
  }
  return { least, most: k };
}
