/**
 * Analog-to-digital converter of 12 bits and 3.3 V, and what a shunt of 0.5 mohm with a gain of 20 makes of it, through
 * the sensors as a controller reads them.
 *
 * Source  LSB = Vref / 2^N, rms error LSB / sqrt 12, SNR = 6.02 N + 1.76 dB: mini tutorial MT-229 (read on
 *         studylib.net/doc/11757253); 0.806 mV, 0.233 mV and 74.0 dB read on theprimecalculator.com. The shunt by hand.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { BENCH_BOARD, boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { livePlant, set } from '../support/rigs.ts';

/** A link divider of 1: counts are volts at the converter. Its amplifiers have settled. */
const BOARD = boardParams({
  ...BENCH_BOARD,
  noise_counts: 0,
  linkDivider: 1,
  dropout_V: 0,
  shuntOffset_counts: [0, 0, 0],
  shuntDrift_counts_K: 0,
  settle_s: 0,
  sampleDelay_s: 0,
  jitter_s: 0,
});
const LSB_V = 3.3 / 4096;
const sensors = new Sensors(BOARD);
const sense = blankSense();

/** Counts of the link channel at a voltage of the converter. */
const plant = livePlant(BENCH_18, 1e-6, 0);
function convert(v_V: number): number {
  set(plant, { link: v_V });
  sensors.sample(plant, sense, false);
  return sense.link;
}

/** Link voltages, rising from 0.1 V in steps of 5 uV, at which the count goes up by one. */
function corners(many: number): number[] {
  const out: number[] = [];
  let last = convert(0.1);
  for (let v = 0.1; out.length < many; v += 5e-6) {
    const now = convert(v);
    if (now > last) out.push(v);
    last = now;
  }
  return out;
}

/** Counts of the shunt of leg A, from zero, with all low switches on and i_A out of it. */
const low = lowSides();
function lowSides(): Plant {
  const made = livePlant(BENCH_18, 1e-6, 0);
  made.command(7, 0, 0, 0);
  made.runPeriod();
  made.runPeriod();
  return made;
}
function shunt(i_A: number): number {
  set(low, { iAlpha: i_A, iBeta: 0 });
  sensors.sample(low, sense, false);
  return sense.ia - 2048;
}

describe('converter', () => {
  it('has an LSB of 0.806 mV and an error of 0.233 mV rms over a ramp', () => {
    const n = 20_000;
    let square = 0;
    for (let k = 0; k < n; k++) {
      const v = 0.1 + (3.1 * k) / n;
      square += (convert(v) * LSB_V - v) ** 2;
    }
    const up = corners(21);
    expectNear((up[20] - up[0]) / 20, 0.806e-3, { abs: 0.75e-6, because: 'three printed digits, 5 uV over 20 counts' });
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
    const n = 20_000;
    const from = -164;
    const span = 328;
    let square = 0;
    let slope = 0;
    let ramp = 0;
    for (let k = 0; k < n; k++) {
      const i = from + (span * k) / (n - 1);
      const counts = shunt(i);
      square += (counts * 0.0805664 - i) ** 2;
      slope += counts * i;
      ramp += counts * counts;
    }
    const printed = 'printed digits';
    expectNear(slope / ramp, 0.080566, { abs: 1e-6, because: 'six printed decimals; rounding averages to nothing' });
    expectNear(currentPerCount_A(BOARD), 0.080566, { abs: 5e-7, because: printed });
    expectNear(Math.sqrt(square / n), 0.0233, { abs: 1e-4, because: 'three printed digits; 5 points a count' });
    // The ends: -2048 counts, and one less above.
    expectNear(shunt(-164.9), -2047, { abs: 0, because: 'within half a count of -2046.8' });
    expect([shunt(-165.1), shunt(-170), shunt(-300)]).toEqual([-2048, -2048, -2048]);
    expect([shunt(164.8), shunt(164.95), shunt(165.1), shunt(300)]).toEqual([2046, 2047, 2047, 2047]);
  });
});
