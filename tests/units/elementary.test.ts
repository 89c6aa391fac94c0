/**
 * Our own elementary functions and generators against those of the engine and against published values.
 *
 * Source  FNV-1a of the empty input 0x811c9dc5 and of "a" 0xe40c292c (from memory).
 */
import { describe, expect, it } from 'vitest';
import { fnv1a } from '../../src/plant/hash.ts';
import { drawBell, seedState } from '../../src/plant/random.ts';
import { angleOf, cosine, sine, wrapHalf, wrapTurn } from '../../src/units/elementary.ts';
import { expectNear } from '../support/near.ts';

describe('sine and cosine', () => {
  it('agree with the engine over ten turns and at large angles', () => {
    for (let k = -4000; k <= 4000; k++) {
      const x = k * 0.0157 + (k % 7) * 1e-3;
      const why = 'series end below 1e-17, reduction and rounding cost up to 2 ulp of 1';
      expectNear(sine(x), Math.sin(x), { abs: 4.5e-16, because: why });
      expectNear(cosine(x), Math.cos(x), { abs: 4.5e-16, because: why });
    }
    const why = 'the two-part pi/2 leaves 1e-26 per quarter turn, the argument itself 1e-11 ulp';
    expectNear(sine(1e5), Math.sin(1e5), { abs: 2e-11, because: why });
  });

  it('wrap an angle into one turn', () => {
    expect(wrapTurn(0)).toBe(0);
    expectNear(wrapTurn(-0.5), 2 * Math.PI - 0.5, { abs: 1e-15, because: 'one rounding' });
    expect(wrapTurn(-1e-20)).toBeLessThan(2 * Math.PI);
  });
});

describe('angle of a vector', () => {
  it('agrees with the engine all around and along the axes', () => {
    for (let k = -2000; k <= 2000; k++) {
      const a = (k * Math.PI) / 2000;
      for (const r of [1e-9, 1, 3e5]) {
        const found = angleOf(r * Math.sin(a), r * Math.cos(a));
        expect(Math.abs(wrapHalf(found - a)), `angle ${a}`).toBeLessThan(2e-15);
      }
    }
    expect([angleOf(0, 0), angleOf(0, 1), angleOf(1, 0), angleOf(-1, 0)]).toEqual([0, 0, Math.PI / 2, -Math.PI / 2]);
    expect(angleOf(0, -1)).toBe(Math.PI);
  });
});

describe('noise', () => {
  it('has mean 0, deviation 1 and repeats with its seed', () => {
    const n = 100_000;
    const draw = (seed: number) => {
      const x = Float64Array.of(seedState(seed));
      return Float64Array.from({ length: n }, () => drawBell(x, 0));
    };
    const a = draw(7);
    const mean = a.reduce((s, v) => s + v, 0) / n;
    const variance = a.reduce((s, v) => s + v * v, 0) / n;
    expectNear(mean, 0, { abs: 4 / Math.sqrt(n), because: 'four standard errors of the mean' });
    expectNear(variance, 1, { abs: 4 * Math.sqrt(2 / n), because: 'four standard errors of a variance' });
    expect(draw(7)).toEqual(a);
    expect(draw(8)[0]).not.toBe(a[0]);
  });
});

describe('hash', () => {
  it('is FNV-1a', () => {
    expect(fnv1a(new Uint8Array())).toBe(0x811c9dc5);
    expect(fnv1a(Uint8Array.of(0x61))).toBe(0xe40c292c);
  });
});
