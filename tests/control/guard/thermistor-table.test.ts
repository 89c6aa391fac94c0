/**
 * The table of the firmware against the channel of the board, which evaluates the law of the part; both know the part only by
 * its data: law and coefficients of a common 10 k part read on ftp.finetune.jp/~lyuka (ntc10k-42s).
 */
import { describe, expect, it } from 'vitest';
import { OPEN_COUNTS, SHORTED_COUNTS, ThermistorTable } from '../../../src/control/guard/thermistor-table.ts';
import { BENCH_BOARD } from '../../../src/sensing/board.ts';
import { thermistorCounts } from '../../../src/sensing/thermistor.ts';
import { expectNear } from '../../support/near.ts';

const C0_K = 273.15;

describe('thermistor table', () => {
  const table = new ThermistorTable();

  it('reads 25 °C where the thermistor equals its pull-up', () => {
    const because = 'the law passes through 25 °C by definition; 25 °C lies within 4 K of straight line';
    expectNear(table.heat_K(4095 / 2), C0_K + 25, { abs: 0.05, because });
  });

  it('finds every temperature from -40 to 170 °C of the channel of the board', () => {
    for (let c = -40; c <= 170; c += 0.7) {
      const counts = thermistorCounts(BENCH_BOARD, C0_K + c);
      // d(ln R)/dT is up to 0.05 at -40 °C and 0.02 when hot: (4 K)^2 / 8 * 0.05 = 0.1 K at most.
      const because = 'straight lines over 4 K of a curve whose slope changes by 5 % a kelvin at most';
      expectNear(table.heat_K(counts), C0_K + c, { abs: 0.1, because });
    }
  });

  it('is kept at its ends, and no temperature of a drill looks like a broken wire', () => {
    expect(table.heat_K(4095)).toBe(table.heat_K(4000 + 90));
    expect(table.heat_K(0)).toBeGreaterThan(C0_K + 200);
    expect(thermistorCounts(BENCH_BOARD, C0_K - 50)).toBeLessThan(OPEN_COUNTS - 50);
    expect(thermistorCounts(BENCH_BOARD, C0_K + 210)).toBeGreaterThan(SHORTED_COUNTS + 10);
  });
});
