/**
 * Thermistor of 10 kohm against its published laws.
 *
 * Source  plain law R25 exp(B (1/T - 1/298.15)), read on cantherm.com; law of three coefficients with B = 3332.31, C = 5.55745e-4,
 *         D = 4.74033e-7 for a common part, read on ftp.finetune.jp/~lyuka (ntc10k-42s), which states 0.18 % as its
 *         largest error over -40 to 125 °C. Table values computed from both.
 */
import { describe, it } from 'vitest';
import { BENCH_BOARD, boardParams } from '../../src/sensing/board.ts';
import { thermistor_ohm, thermistorCounts } from '../../src/sensing/thermistor.ts';
import { expectNear } from '../support/near.ts';

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
});
