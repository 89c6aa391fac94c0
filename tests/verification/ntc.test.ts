/**
 * Thermistor of 10 kohm against its published laws.
 *
 * Source  plain law R25 exp(B (1/T - 1/298.15)), read on cantherm.com; law of three coefficients with B = 3332.31, C = 5.55745e-4,
 *         D = 4.74033e-7 for a common part, read on ftp.finetune.jp/~lyuka (ntc10k-42s), which states 0.18 % as its
 *         largest error over -40 to 125 °C. Table values computed from both.
 */
import { describe, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { BENCH_BOARD, type BoardParams, boardParams } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { thermistor_ohm, thermistorCounts } from '../../src/sensing/thermistor.ts';
import { expectNear } from '../support/near.ts';
import { livePlant, set } from '../support/rigs.ts';

const THREE = boardParams(BENCH_BOARD);
const PLAIN = boardParams({ ...BENCH_BOARD, ntcB_K: 3380, ntcC_1_K: 0, ntcD_1_K2: 0 });
const at = (celsius: number) => celsius + 273.15;

describe('thermistor', () => {
  it.each([
    [0, 28223.7, 27395],
    [50, 4160.1, 4164.6],
    [85, 1496.9, 1456.3],
    [100, 1024.3, 977.5],
  ])('at %d °C: %f ohm by one B, %f ohm by three coefficients', (celsius, plain, three) => {
    expectNear(thermistor_ohm(PLAIN, at(celsius)), plain, { abs: 0.05, because: 'one printed decimal' });
    const digits = three > 20_000 ? 0.5 : 0.05;
    expectNear(thermistor_ohm(THREE, at(celsius)), three, { abs: digits, because: 'printed decimals' });
  });

  it('is 2.8 % off at 85 °C by one B', () => {
    const off = thermistor_ohm(PLAIN, at(85)) / thermistor_ohm(THREE, at(85)) - 1;
    expectNear(off, 0.028, { abs: 0.0005, because: 'two printed digits' });
  });

  it('reads 2047.5 and 533.17 counts at 25 and 85 °C under a pull-up of 10 kohm', () => {
    expectNear(thermistorCounts(PLAIN, at(25)), 2047.5, { abs: 1e-9, because: 'half of the full scale' });
    expectNear(thermistorCounts(PLAIN, at(85)), 533.17, { abs: 0.005, because: 'two printed decimals' });
  });

  it('inverts: a controller that knows the law reads the temperature of sink and winding back', () => {
    for (const [board, law] of [
      [PLAIN, [3380, 0, 0]],
      [THREE, [3332.31, 5.55745e-4, 4.74033e-7]],
    ] as const) {
      for (const celsius of [-20, 0, 25, 50, 85, 100]) {
        const because = 'half a count of 15 bits is at most 0.008 K, at 100 °C';
        expectNear(decoded(board, celsius, law).sink, celsius, { abs: 0.01, because });
        expectNear(decoded(board, celsius, law).winding, celsius, { abs: 0.01, because });
      }
    }
  });

  it('reads about 1 K too much at 85 °C to a controller that knows one B only', () => {
    // d ln R / dT = B / T^2 = 0.0264 1/K at 85 °C, so 2.8 % are 1.05 K.
    const { sink } = decoded(THREE, 85, [3380, 0, 0]);
    expectNear(sink - 85, 0.0277 / 0.0264, { abs: 0.03, because: 'two digits of 2.8 %, and half a count' });
    expectNear(decoded(THREE, 25, [3380, 0, 0]).sink, 25, { abs: 0.005, because: 'the laws meet at 25 °C' });
  });
});

/** Temperatures [°C] that a controller makes of the counts of a plant with both sink and winding at `celsius`. */
function decoded(board: BoardParams, celsius: number, law: readonly number[]): { sink: number; winding: number } {
  const fine = boardParams({ ...board, bits: 15, noise_counts: 0 });
  const plant = livePlant(BENCH_18, 1e-6, 0);
  set(plant, { sinkHeat: at(celsius), windingHeat: at(celsius) });
  const sense = blankSense();
  new Sensors(fine).sample(plant, sense, false);
  return { sink: celsiusOf(sense.heatBridge, law), winding: celsiusOf(sense.heatMotor, law) };
}

/** Inverse of the divider by algebra, of T' = T25 + d (1 + d (C + d D)) by halving. */
function celsiusOf(counts: number, [b, c, d]: readonly number[]): number {
  const ohm = (10_000 * counts) / (32_767 - counts);
  const warped = 1 / (1 / 298.15 + Math.log(ohm / 10_000) / b);
  let [low, high] = [-60, 160];
  for (let k = 0; k < 60; k++) {
    const mid = (low + high) / 2;
    const x = mid - 25;
    if (298.15 + x * (1 + x * (c + x * d)) < warped) low = mid;
    else high = mid;
  }
  return low;
}
