/**
 * Motor of two thermal nodes with the constants of a catalogue page.
 *
 * Source  slotless 4-pole servo motor of 30 mm, 200 W, 24 V (public copy of the catalogue page): 0.209 and 7.4 K/W, 2.11 s
 *         and 1180 s; heat capacities tau / R, to six digits. The temperatures were computed from these by
 *         scipy; npm odex, run live, is a second solution.
 *
 * The page prints the two products R C. Coupled, the motor answers with other time constants: 1.984 and 1254.8 s.
 */
import { describe, it } from 'vitest';
import { heatMotor } from '../../src/plant/heat.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { expectNear } from '../support/near.ts';
import { warmedByOdex } from '../support/two-nodes.ts';

const WINDING = slot('windingHeat');
const HOUSING = slot('housingHeat');
const AIR_K = 293.15;
const POWER_W = 10;
/** Update interval of the preset [s]. */
const H_S = 1 / 20_000;

const heat = {
  ...BENCH_18.heat,
  winding_J_K: 10.0957,
  windingHousing_K_W: 0.209,
  housing_J_K: 159.459,
  housingAir_K_W: 7.4,
};

/** The plant vector with winding and housing above the air by these amounts [K]. */
function motor(winding_K: number, housing_K: number): Float64Array {
  const x = new Float64Array(SLOTS.length);
  x[slot('ambient')] = AIR_K;
  x[WINDING] = AIR_K + winding_K;
  x[HOUSING] = AIR_K + housing_K;
  x[slot('magnetHeat')] = AIR_K;
  return x;
}

/** Runs t_s of updates with a steady heat in the winding. */
function run(x: Float64Array, t_s: number, power_W: number): Float64Array {
  const updates = Math.round(t_s / H_S);
  for (let k = 0; k < updates; k++) heatMotor(x, H_S, heat, power_W * H_S, 0);
  return x;
}

describe('10 W in the winding', () => {
  const x = motor(0, 0);
  let now_s = 0;

  it.each([
    [1, 0.790722],
    [5, 1.994508],
    [10, 2.4253],
    [60, 5.314332],
    [600, 30.065296],
  ])('warm it after %f s by %f K', (t_s, expected) => {
    const [exact] = warmedByOdex(heat, () => POWER_W, t_s);
    expectNear(exact, expected, { abs: 5.1e-7, because: 'six printed decimals' });
    run(x, t_s - now_s, POWER_W);
    now_s = t_s;
    expectNear(x[WINDING] - AIR_K, expected, {
      abs: 0.5 * H_S * (POWER_W / heat.winding_J_K) + 1e-6,
      because: 'implicit Euler is half an update late on a rise of 1 K/s at most, and six printed decimals',
    });
  });

  it('settle 76.09 K above the air', () => {
    const hot = motor(0, 0);
    // Implicit: a single update of 30 000 years is as good as any number of short ones.
    heatMotor(hot, 1e12, heat, POWER_W * 1e12, 0);
    expectNear(hot[WINDING] - AIR_K, 76.09, { abs: 1e-4, because: '1250 s over 1e12 s, and rounding of 1e12 J' });
  });
});

describe('time constants', () => {
  it('are 1.98417 and 1254.83 s, not the printed 2.11 and 1180 s', () => {
    // What 2 s make of a warm winding and of a warm housing are the columns of the transition matrix.
    const t_s = 2;
    const [a, b] = [motor(1, 0), motor(0, 1)].map((x) => run(x, t_s, 0));
    const trace = a[WINDING] - AIR_K + b[HOUSING] - AIR_K;
    const det = (a[WINDING] - AIR_K) * (b[HOUSING] - AIR_K) - (a[HOUSING] - AIR_K) * (b[WINDING] - AIR_K);
    const root = Math.sqrt(0.25 * trace * trace - det);
    const fast = -t_s / Math.log(0.5 * trace - root);
    const slow = -t_s / Math.log(0.5 * trace + root);
    expectNear(fast, 1.98417, { abs: 0.5 * H_S + 5.1e-6, because: 'half an update, and five printed decimals' });
    const why = 'two printed decimals; 40 000 roundings of 6e-14 K on a decay of 1.6e-3 K make 2e-6 of it at most';
    expectNear(slow, 1254.83, { abs: 8e-3, because: why });
  });
});
