/** Source: the closed form of a discrete PI loop, u[k] = kp e[k] + ki T sum e[j < k]; limits by hand. */
import { describe, expect, it } from 'vitest';
import { BLOCK_ALL, BLOCK_NONE, BLOCK_RISE, PiLoop } from '../../src/control/pi-loop.ts';
import { expectNear } from '../support/near.ts';

describe('PI loop', () => {
  it('adds the sum of past errors to the present one', () => {
    const loop = new PiLoop(2, 10, 0.01);
    const errors = [1, -0.5, 0.25];
    const outputs = errors.map((e) => loop.step(e, 0.5, -100, 100, BLOCK_NONE));
    const byHand = [0.5 + 2, 0.5 - 1 + 0.1, 0.5 + 0.5 + 0.05];
    outputs.forEach((u, k) => {
      expectNear(u, byHand[k], { abs: 1e-12, because: 'exact algebra; rounding only' });
    });
  });

  it('leaves a limit at once when the error turns, however long it was held there', () => {
    const loop = new PiLoop(1, 100, 0.01);
    for (let k = 0; k < 1000; k++) expect(loop.step(5, 0, -1, 1, BLOCK_NONE)).toBe(1);
    expect(loop.step(-0.5, 0, -1, 1, BLOCK_NONE)).toBeLessThan(1);
  });

  it('does not let the integral rise while what follows cannot', () => {
    const loop = new PiLoop(1, 100, 0.01);
    for (let k = 0; k < 100; k++) loop.step(0.1, 0, -10, 10, BLOCK_RISE);
    expect(loop.step(0, 0, -10, 10, BLOCK_NONE)).toBe(0);
    loop.step(-0.1, 0, -10, 10, BLOCK_RISE);
    expect(loop.step(0, 0, -10, 10, BLOCK_NONE)).toBeLessThan(0);
  });

  it('holds the integral still when told that the measurement means nothing', () => {
    const loop = new PiLoop(1, 100, 0.01);
    for (const e of [3, -3, 7]) loop.step(e, 0, -10, 10, BLOCK_ALL);
    expect(loop.step(0, 0, -10, 10, BLOCK_NONE)).toBe(0);
  });

  it('starts from nothing after a reset', () => {
    const loop = new PiLoop(1, 100, 0.01);
    for (let k = 0; k < 5; k++) loop.step(1, 0, -100, 100, BLOCK_NONE);
    loop.reset();
    expect(loop.step(1, 0, -100, 100, BLOCK_NONE)).toBe(1);
  });
});
