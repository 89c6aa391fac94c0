/**
 * Reduction of planetary trains with a fixed ring, by Willis.
 *
 * Source  sun 21, ring 108: 6.14286 (lecad.uni-lj.si, ~leon, PlanetryTransmissions, node 8); sun 12, ring 48, two stages:
 *         25 (newsletter.onedfrk.com, 2026-04-30).
 */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { gearMap, gearRatio, stageEfficiency } from '../../src/plant/transmission.ts';
import { expectNear } from '../support/near.ts';

describe('planetary train', () => {
  it('reduces 6.14286 to 1 with sun 21 and ring 108', () => {
    expectNear(gearRatio({ sunTeeth: [21], ringTeeth: [108] }, 1), 6.14286, {
      abs: 5e-6,
      because: 'five printed decimals',
    });
  });

  it('reduces 25 to 1 in two stages of sun 12 and ring 48', () => {
    expect(gearRatio({ sunTeeth: [12, 12], ringTeeth: [48, 48] }, 2)).toBe(25);
  });

  it('has preset trains that can be assembled', () => {
    const { sunTeeth, ringTeeth } = BENCH_18.gear;
    for (const [k, sun] of sunTeeth.entries()) {
      const ring = ringTeeth[k];
      expect((ring - sun) % 2).toBe(0); // whole planet teeth
      expect((sun + ring) % 3).toBe(0); // three planets, evenly spaced
    }
    expect(gearRatio(BENCH_18.gear, BENCH_18.gear.stagesInGear[1])).toBe(14);
    expect(gearRatio(BENCH_18.gear, BENCH_18.gear.stagesInGear[0])).toBe(49);
  });

  it('passes 0.984 of the power to the carrier and 0.983936 back, with 0.98 for the held carrier', () => {
    // Mueller 1982 / VDI 2157 form, from memory; the two numbers were computed from it for ring / sun = 4.
    const e = stageEfficiency(12, 48, 0.98);
    expectNear(e.forth, 0.984, { abs: 1e-12, because: 'exact algebra' });
    expectNear(e.back, 0.983936, { abs: 5e-7, because: 'six printed decimals' });
  });

  it('has preset stages of 95 to 97 % as published, 90 to 94 % for two', () => {
    const map = gearMap(BENCH_18.gear);
    const two = 1 / (1 + map.forth[2]);
    expect(two).toBeGreaterThan(0.9);
    expect(two).toBeLessThan(0.94);
  });
});
