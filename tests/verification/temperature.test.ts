/**
 * What warmth does to copper and magnets.
 *
 * Source  copper: 0.00393 1/K at 20 °C for annealed copper, IEC 60028 (from memory); the factors follow from it.
 *         Magnets: sintered NdFeB, 13.82 kG at 20 °C and 11.69 kG at 150 °C, stated as -0.119 %/K (advancedmagnets.com,
 *         read); 12 kG at 20 °C and 10.8 kG at 120 °C with -0.10 %/K, coercivity 20 kOe and 10 kOe with -0.5 %/K
 *         (bymagnets.com, read).
 */
import { describe, expect, it } from 'vitest';
import type { MagnetParams } from '../../src/plant/params.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import {
  drillWith,
  idealSupply,
  LOCKED,
  linearWinding,
  livePlant,
  merge,
  type Overrides,
  set,
} from '../support/rigs.ts';

const ZERO_K = 273.15;
/** Masses so large and paths so long that nothing warms up in a test. */
const HELD: Overrides = { heat: { winding_J_K: 1e9, housing_J_K: 1e9, magnet_s: 1e9 } };

/** Motor at one temperature throughout, on an ideal supply of 18 V. */
function plantAt(celsius: number, ...overrides: Overrides[]): Plant {
  const plant = livePlant(drillWith(merge(idealSupply(18), LOCKED, HELD, ...overrides)), 1e-6);
  const heat = celsius + ZERO_K;
  set(plant, { windingHeat: heat, housingHeat: heat, magnetHeat: heat });
  return plant;
}

describe('copper', () => {
  const winding = { r_ohm: 0.05, ld_H: 20e-6, lq_H: 20e-6 };

  /** Current and heat of the locked motor, phase A against B and C. */
  function locked(celsius: number): { current_A: number; heat_J: number } {
    const plant = plantAt(celsius, linearWinding(winding));
    plant.command(7, 1, 0, 0);
    // 40 time constants of 0.4 ms.
    for (let k = 0; k < 320; k++) plant.runPeriod();
    const before = plant.read('lossCopper');
    plant.runPeriod();
    return { current_A: plant.read('iAlpha'), heat_J: plant.read('lossCopper') - before };
  }

  it.each([
    [20, 1],
    [100, 1.3144],
    [155, 1.53055],
    [-20, 0.8428],
  ])('has at %f °C a resistance %f times that at 20 °C', (celsius, factor) => {
    const { current_A, heat_J } = locked(celsius);
    const amps = 12 / (0.05 * factor);
    const why = 'exp(-40) of the step is left, and switches of 1e-12 ohm';
    expectNear(current_A, amps, { abs: 1e-9 * amps, because: why });
    const joule = (1.5 * 12 * amps) / 20_000;
    expectNear(heat_J, joule, { abs: 1e-9 * joule, because: why });
  });
});

describe('magnet', () => {
  /** Flux of the motor [Wb] at a temperature, after an update: what the winding links without current. */
  function linked_Wb(celsius: number, magnet: Partial<MagnetParams>): number {
    const plant = plantAt(celsius, linearWinding({}), { magnet });
    plant.runPeriod();
    expectNear(Math.hypot(plant.read('psiAlpha'), plant.read('psiBeta')), plant.read('magnet'), {
      abs: 1e-15,
      because: 'no current: rounding',
    });
    return plant.read('magnet');
  }

  it('of 13.82 kG keeps 11.69 kG at 150 °C with the published -0.119 %/K', () => {
    const magnet = { temp_1_K: -0.00119 };
    expectNear(13.82 * (linked_Wb(150, magnet) / linked_Wb(20, magnet)), 11.69, {
      abs: 0.012,
      because: 'the coefficient is rounded to 0.0005 %/K over 130 K: 0.009 kG; both flux densities to 0.005 kG',
    });
  });

  it('of 12 kG keeps 10.8 kG at 120 °C with the published -0.10 %/K', () => {
    const magnet = { temp_1_K: -0.001 };
    expectNear(12 * (linked_Wb(120, magnet) / linked_Wb(20, magnet)), 10.8, { abs: 1e-12, because: 'exact algebra' });
  });

  it('has its full flux again when it has cooled', () => {
    const plant = plantAt(150, linearWinding({}));
    plant.runPeriod();
    const hot = plant.read('magnet');
    set(plant, { magnetHeat: 20 + ZERO_K });
    plant.runPeriod();
    expect(plant.read('magnet')).toBeGreaterThan(hot);
    expectNear(plant.read('magnet'), plant.params.winding.magnet_Wb, {
      abs: 1e-16,
      because: 'a kelvin scale of 293.15 rounds to 6e-14 K: 7e-17 of the flux, and some roundings of 2e-19 Wb',
    });
  });
});

describe('coercivity', () => {
  const KNEE_A = 200;
  /** So large that a current stands still for a period. */
  const L_H = 1;

  /** A motor after one period, legs on the low rail, with a current against the magnets. */
  function demagnetized(celsius: number, against_A: number): Plant {
    const winding = linearWinding({ ld_H: L_H, lq_H: L_H });
    const plant = plantAt(celsius, winding, { magnet: { temp_1_K: 0, knee_A: KNEE_A, kneeTemp_1_K: -0.005 } });
    plant.command(7, 0, 0, 0);
    set(plant, { iAlpha: -against_A, psiAlpha: plant.read('magnet') - L_H * against_A });
    plant.runPeriod();
    return plant;
  }

  /** Share of the flux that this costs for good. */
  const lost = (celsius: number, against_A: number) => demagnetized(celsius, against_A).read('fluxLost');

  /** The smallest current against the magnets that costs flux, by halving [A]. */
  function threshold_A(celsius: number): number {
    let low = 1;
    let high = 1000;
    while (high - low > 1e-3) {
      const middle = 0.5 * (low + high);
      if (lost(celsius, middle) > 0) high = middle;
      else low = middle;
    }
    return high;
  }

  it('of 20 kOe falls to 10 kOe at 120 °C with the published -0.5 %/K', () => {
    const cold = threshold_A(20);
    const why = 'found by halving down to 1 mA; the current decays by 1e-6 of itself in a period';
    expectNear(cold, KNEE_A, { abs: 3e-3, because: why });
    expectNear((20 * threshold_A(120)) / cold, 10, { abs: 20 * (6e-3 / KNEE_A), because: why });
  });

  it('leaves what was lost lost when the magnet has cooled', () => {
    expect(lost(120, 150)).toBeGreaterThan(0);
    expect(lost(20, 150)).toBe(0);
    const plant = demagnetized(120, 150);
    const weak = plant.read('magnet');
    set(plant, { magnetHeat: 20 + ZERO_K, iAlpha: 0, psiAlpha: weak });
    plant.runPeriod();
    expect(plant.read('magnet')).toBe(weak);
    expect(weak).toBeLessThan(plant.params.winding.magnet_Wb);
  });
});
