/**
 * Analog-to-digital converter of 12 bits and 3.3 V, and what a shunt of 0.5 mohm with a gain of 20 makes of it.
 *
 * Source  LSB = Vref / 2^N, rms error LSB / sqrt 12, SNR = 6.02 N + 1.76 dB: mini tutorial MT-229 (read on
 *         studylib.net/doc/11757253); 0.806 mV, 0.233 mV and 74.0 dB read on theprimecalculator.com. The shunt by hand.
 */
import { describe, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { BENCH_BOARD, boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { livePlant, set } from '../support/rigs.ts';

/** A link divider of 1: counts are volts at the converter. */
const BOARD = boardParams({ ...BENCH_BOARD, noise_counts: 0, linkDivider: 1, dropout_V: 0 });
const LSB_V = 3.3 / 4096;

/** Counts of the link channel at a voltage of the converter. */
const plant = livePlant(BENCH_18, 1e-6, 0);
const sensors = new Sensors(BOARD);
const sense = blankSense();
function convert(v_V: number): number {
  set(plant, { link: v_V });
  sensors.sample(plant, sense, false);
  return sense.link;
}

describe('converter', () => {
  it('has an LSB of 0.806 mV and an error of 0.233 mV rms over a ramp', () => {
    const n = 20_000;
    let square = 0;
    for (let k = 0; k < n; k++) {
      const v = 0.1 + (3.1 * k) / n;
      square += (convert(v) * LSB_V - v) ** 2;
    }
    expectNear(LSB_V, 0.806e-3, { abs: 0.5e-6, because: 'three printed digits' });
    expectNear(Math.sqrt(square / n), 0.233e-3, { abs: 0.002e-3, because: 'three printed digits; 5 points a count' });
  });

  it('has 74.0 dB between a full sine and its rounding error', () => {
    const n = 20_011;
    let signal = 0;
    let error = 0;
    for (let k = 0; k < n; k++) {
      const s = 2047 * LSB_V * Math.sin((2 * Math.PI * 127 * k) / n);
      signal += s * s;
      error += (convert(1.65 + s) * LSB_V - 1.65 - s) ** 2;
    }
    const ratio_dB = 10 * Math.log10(signal / error);
    expectNear(ratio_dB, 74, { abs: 0.1, because: 'one printed decimal, and 2 % spread of a finite record' });
  });

  it('resolves 0.080566 A over +-165 A, and rounds by 0.0233 A rms', () => {
    expectNear(currentPerCount_A(BENCH_BOARD), 0.080566, { abs: 5e-7, because: 'six printed decimals' });
    expectNear(2048 * currentPerCount_A(BENCH_BOARD), 165, { abs: 0.5, because: 'three printed digits' });
    const rounding = currentPerCount_A(BENCH_BOARD) / Math.sqrt(12);
    expectNear(rounding, 0.0233, { abs: 5e-5, because: 'three printed digits' });
  });
});
