/**
 * Reduction of planetary trains with a fixed ring, by Willis.
 *
 * Source  sun 21, ring 108: 6.14286 (lecad.uni-lj.si, ~leon, PlanetryTransmissions, node 8); sun 12, ring 48, two stages:
 *         25 (newsletter.onedfrk.com, 2026-04-30).
 */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { gearRatio } from '../../src/plant/shaft.ts';
import { expectNear } from '../support/near.ts';

describe('planetary train', () => {
  it('reduces 6.14286 to 1 with sun 21 and ring 108', () => {
    expectNear(gearRatio([[21, 108]], 1), 6.14286, { abs: 5e-6, because: 'five printed decimals' });
  });

  it('reduces 25 to 1 in two stages of sun 12 and ring 48', () => {
    const stages = [
      [12, 48],
      [12, 48],
    ] as const;
    expect(gearRatio(stages, 2)).toBe(25);
  });

  it('has preset trains that can be assembled', () => {
    for (const [sun, ring] of BENCH_18.gear.stages) {
      expect((ring - sun) % 2).toBe(0); // whole planet teeth
      expect((sun + ring) % 3).toBe(0); // three planets, evenly spaced
    }
    expect(gearRatio(BENCH_18.gear.stages, BENCH_18.gear.stagesInGear[1])).toBe(14);
    expect(gearRatio(BENCH_18.gear.stages, BENCH_18.gear.stagesInGear[0])).toBe(49);
  });
});
