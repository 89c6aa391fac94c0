/**
 * A board is checked when made: every number has its band, and what is made cannot change.
 *
 * Source  none: these are rules of the project.
 */
import { describe, expect, it } from 'vitest';
import { BENCH_BOARD, BOARD, boardParams } from '../../src/sensing/board.ts';

describe('a board', () => {
  it.each([
    [{ bits: 30 }, 'board.bits is 30; allowed is 8 to 15'],
    [{ settle_s: 1 }, 'board.settle_s is 1 s; allowed is 0 to 0.00002 s'],
    [{ shuntGainError: [0, 2, 0] }, 'board.shuntGainError is 2; allowed is -0.5 to 0.5'],
    [{ shuntGainError: [0, 0] }, 'board.shuntGainError has 2 entries; allowed is 3, one a leg'],
    [{ ntcB_K: 0 }, 'board.ntcB_K is 0 K; allowed is 1000 to 6000 K'],
    [{ shunts: 'a' as 'ab' }, 'board.shunts is a; allowed are abc, ab, bc, ac'],
    [{ colour: 3 } as object, 'board.colour is no parameter'],
  ])('is refused by name: %j', (change, why) => {
    expect(() => boardParams({ ...BENCH_BOARD, ...change })).toThrow(why);
  });

  it.each(Object.entries(BOARD))(
    'refuses %s below and above its band, and what is no number',
    (key, { low, high, unit, kind }) => {
      for (const value of [low - 1e-9 - Math.abs(low) * 1e-9, high * (1 + 1e-9) + 1e-9, Number.NaN]) {
        const change = { [key]: kind === 'list' ? [0, 0, value] : value };
        const words = `board.${key} is ${value}${unit === '' ? '' : ` ${unit}`}; allowed is ${low} to ${high}`;
        expect(() => boardParams({ ...BENCH_BOARD, ...change })).toThrow(words);
      }
      expect(() => boardParams({ ...BENCH_BOARD, [key]: 'much' })).toThrow(`board.${key} is much`);
    },
  );

  it('is frozen with its lists, and keeps none of the lists it was made from', () => {
    const shuntOffset_counts = [1, 2, 3];
    const board = boardParams({ ...BENCH_BOARD, shuntOffset_counts });
    shuntOffset_counts[0] = 50;
    expect(board.shuntOffset_counts).toEqual([1, 2, 3]);
    for (const one of [board, board.shuntOffset_counts, board.shuntGainError]) expect(Object.isFrozen(one)).toBe(true);
  });

  it('says yes or no to what is fitted', () => {
    for (const key of ['halls', 'thermistors', 'phases', 'motion'])
      expect(() => boardParams({ ...BENCH_BOARD, [key]: 1 })).toThrow(`board.${key} is 1; allowed are true and false`);
  });
});
