import { describe, expect, it } from 'vitest';
import { Unwrap } from '../../src/protocol/unwrap.ts';
import { seededInt } from '../support/seeded.ts';

const BITS = [8, 16, 32] as const;

describe('unwrap', () => {
  it.each(BITS)('runs on across the wrap of %i bits, forwards and backwards', (bits) => {
    const span = 2 ** bits;
    const unwrap = new Unwrap(bits);
    expect([span - 2, span - 1, 0, 1, 0, span - 1, span - 2].map((each) => unwrap.take(each))).toEqual([
      span - 2,
      span - 1,
      span,
      span + 1,
      span,
      span - 1,
      span - 2,
    ]);
  });

  it.each(BITS)('goes below 0 when %i bits run backwards from the start', (bits) => {
    const unwrap = new Unwrap(bits);
    expect([1, 0, 2 ** bits - 1, 2 ** bits - 5].map((each) => unwrap.take(each))).toEqual([1, 0, -1, -5]);
  });

  it.each(BITS)('takes less than half the range of %i bits as ahead, the rest as behind', (bits) => {
    const half = 2 ** (bits - 1);
    for (const start of [0, 1, half - 1, half, half + 1, 2 * half - 1]) {
      const unwrap = new Unwrap(bits);
      unwrap.take(start);
      const at = (step: number) => (((start + step) % (2 * half)) + 2 * half) % (2 * half);
      expect([0, 1, half - 1, half, half + 1, 2 * half - 1].map((step) => unwrap.ahead(at(step)))).toEqual([
        0,
        1,
        half - 1,
        -half,
        -half + 1,
        -1,
      ]);
      expect(unwrap.take(at(half - 1))).toBe(start + half - 1);
    }
  });

  it.each(BITS)('finds every step of a random walk over %i bits, long gaps and repeats among them', (bits) => {
    const span = 2 ** bits;
    const draw = seededInt(bits);
    const unwrap = new Unwrap(bits);
    let truth = unwrap.take(draw(span));
    for (let k = 0; k < 100_000; k++) {
      const reach = draw(3) === 0 ? span / 2 - 1 : 3;
      const step = draw(2 * reach + 1) - reach;
      truth += step;
      const wrapped = ((truth % span) + span) % span;
      if (unwrap.ahead(wrapped) !== step || unwrap.take(wrapped) !== truth) expect.fail(`step ${k}: ${truth}`);
    }
    expect(Math.abs(truth)).toBeLessThan(2 ** 53); // doubles are exact up to here
  });

  it('knows no way ahead of nothing, and forgets when told to', () => {
    const unwrap = new Unwrap(16);
    expect(unwrap.ahead(5)).toBe(0);
    expect(unwrap.take(65_535)).toBe(65_535);
    expect(unwrap.take(0)).toBe(65_536);
    unwrap.reset();
    expect(unwrap.ahead(5)).toBe(0);
    expect(unwrap.take(7)).toBe(7);
  });

  it('refuses a width that no counter has', () => {
    for (const bits of [0, 33, 1.5, Number.NaN]) expect(() => new Unwrap(bits)).toThrow('allowed is 1 to 32');
  });

  // A clock of 32 bits in microseconds wraps after 71.6 min, one of 16 bits that counts 20 kHz every 3.3 s.
  it('keeps clock, number and tick true through 75 min of ticks at 20 kHz', () => {
    const TICKS = 75 * 60 * 20_000;
    const clock = new Unwrap(32);
    const number = new Unwrap(16);
    const tick = new Unwrap(32);
    const first = 2 ** 32 - TICKS / 2; // the tick wraps half way
    clock.take(0);
    number.take(0);
    tick.take(first);
    let wrong = 0;
    for (let k = 1; k <= TICKS; k++) {
      if (clock.take((k * 50) >>> 0) !== k * 50) wrong++;
      if (number.take(k & 0xffff) !== k) wrong++;
      if (tick.take((first + k) >>> 0) !== first + k) wrong++;
    }
    expect(wrong).toBe(0);
    expect(TICKS * 50).toBeGreaterThan(2 ** 32);
    expect(TICKS).toBeGreaterThan(1000 * 2 ** 16);
  });
});
