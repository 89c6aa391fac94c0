/** When a stall is declared and when it ends; the shares and times are those that the file states. */
import { describe, expect, it } from 'vitest';
import { LOCKED_SHARE, STRAINS_SHARE, Stall, TURNS_FOR_S, TURNS_SHARE } from '../../../src/control/guard/stall.ts';

const TOP = 1000;
const LIMIT_A = 80;
const TICK_S = 50e-6;
const STALL_S = 0.5;

/** Ticks until holding, at a steady speed and current; Infinity within 2 s. */
function ticksToHold(speed: number, current_A: number): number {
  const stall = new Stall(TOP, STALL_S);
  for (let k = 1; k <= 2 / TICK_S; k++) {
    stall.update(speed, current_A, LIMIT_A, TICK_S);
    if (stall.holding === 1) return k;
  }
  return Number.POSITIVE_INFINITY;
}

describe('stall', () => {
  it('is standing at 80 % of the limit or more for half a second, in either sense of a slow turn', () => {
    const due = STALL_S / TICK_S;
    for (const speed of [0, 0.9 * LOCKED_SHARE * TOP, -0.9 * LOCKED_SHARE * TOP]) {
      const ticks = ticksToHold(speed, (STRAINS_SHARE + 0.01) * LIMIT_A);
      // The sum of the ticks passes half a second by one tick, or two by rounding.
      expect(ticks).toBeGreaterThanOrEqual(due);
      expect(ticks).toBeLessThanOrEqual(due + 2);
    }
  });

  it('is not a chuck that turns, nor a current with room left', () => {
    expect(ticksToHold(1.1 * LOCKED_SHARE * TOP, LIMIT_A)).toBe(Number.POSITIVE_INFINITY);
    expect(ticksToHold(-1.1 * LOCKED_SHARE * TOP, LIMIT_A)).toBe(Number.POSITIVE_INFINITY);
    expect(ticksToHold(0, (STRAINS_SHARE - 0.01) * LIMIT_A)).toBe(Number.POSITIVE_INFINITY);
  });

  it('starts its time anew after each interruption', () => {
    const stall = new Stall(TOP, STALL_S);
    for (let round = 0; round < 5; round++) {
      for (let k = 0; k < (0.9 * STALL_S) / TICK_S; k++) stall.update(0, LIMIT_A, LIMIT_A, TICK_S);
      stall.update(0.5 * TOP, LIMIT_A, LIMIT_A, TICK_S);
      expect(stall.holding).toBe(0);
    }
  });

  it('ends when the chuck turns in the driven direction for long enough, not when it is thrown to and fro', () => {
    const stall = new Stall(TOP, STALL_S);
    for (let k = 0; stall.holding === 0 && k < 1e5; k++) stall.update(0, LIMIT_A, LIMIT_A, TICK_S);
    const part = (0.9 * TURNS_FOR_S) / TICK_S;
    for (let round = 0; round < 6; round++) {
      for (let k = 0; k < part; k++) stall.update((round % 2 === 0 ? 2 : -2) * TURNS_SHARE * TOP, 20, LIMIT_A, TICK_S);
    }
    expect(stall.holding).toBe(1);
    for (let k = 0; k < TURNS_FOR_S / TICK_S + 2; k++) stall.update(2 * TURNS_SHARE * TOP, 20, LIMIT_A, TICK_S);
    expect(stall.holding).toBe(0);
  });
});
