/** What marks and spectrum read, against what a sine, a square and a triangle have by their formulas. */
import { describe, expect, it } from 'vitest';
import { measure, measureSteps, reach, stepAt } from '../../components/wave-bench/measure.ts';
import { PAIRS } from '../../components/wave-bench/pairs.ts';
import { multipleOf, peaks, spectrum } from '../../components/wave-bench/spectrum.ts';
import { expectNear } from '../support/near.ts';

const STEP_S = 5e-5;
const SINGLE = 'samples are float32 numbers of some ten units: half a step in the last of 24 bits';
const sine = (count: number, frequency_Hz: number, amplitude: number, offset = 0): Float32Array =>
  Float32Array.from(
    { length: count },
    (_, k) => offset + amplitude * Math.sin(2 * Math.PI * frequency_Hz * k * STEP_S),
  );

describe('a stretch between two marks', () => {
  // Mean, root mean square of a sine: school mathematics, A / sqrt 2.
  it('of whole periods of a sine reads its mean, RMS, peaks and frequency', () => {
    const data = sine(2001, 100, 30, 5);
    const read = measure(data, 0, 2000, STEP_S);
    expectNear(read.mean, 5, { abs: 1e-5, because: SINGLE });
    expectNear(read.rms, Math.sqrt(25 + 30 ** 2 / 2), { abs: 1e-5, because: SINGLE });
    expectNear(read.lowest, -25, { abs: 1e-5, because: SINGLE });
    expectNear(read.highest, 35, { abs: 1e-5, because: SINGLE });
    expectNear(read.own_Hz, 100, { abs: 1e-3, because: 'a straight line between samples 1/200 of a period apart' });
  });

  it('takes no sample at or after its end', () => {
    const data = Float32Array.of(1, 1, 1, 100);
    expect(measure(data, 0, 3, STEP_S).highest).toBe(1);
    expect(measure(data, 3, 3, STEP_S).mean).toBe(100);
  });

  it('sums ten seconds without drift', () => {
    const data = new Float32Array(200_000).fill(0.1);
    expectNear(measure(data, 0, data.length, STEP_S).mean, 0.1, {
      abs: 2e-9,
      because: '0.1 as a float32 is off by 1.5e-9',
    });
  });

  it('names no frequency for what does not repeat', () => {
    const chirp = Float32Array.from({ length: 4000 }, (_, k) =>
      Math.sin(2 * Math.PI * (20 + 60 * k * STEP_S * 5) * k * STEP_S),
    );
    expect(measure(chirp, 0, 4000, STEP_S).own_Hz).toBeNaN();
    expect(measure(new Float32Array(100), 0, 100, STEP_S).own_Hz).toBeNaN();
    expect(measure(sine(250, 100, 1), 0, 250, STEP_S).own_Hz).toBeNaN();
  });

  it('is not fooled by noise at the crossing', () => {
    const noisy = sine(4000, 50, 10).map((v, k) => v + (k % 2 === 0 ? 0.4 : -0.4));
    expectNear(measure(noisy, 0, 4000, STEP_S).own_Hz, 50, {
      abs: 0.2,
      because: 'a crossing may move by one sample of 400',
    });
  });

  it('leaves out what has no reading, and says so where there is none at all', () => {
    expect(measure(Float32Array.of(Number.NaN, 4), 0, 2, STEP_S).mean).toBe(4);
    expect(measure(Float32Array.of(Number.NaN), 0, 1, STEP_S).lowest).toBeNaN();
  });

  it('of columns has lowest and highest alone', () => {
    expect(reach(Float32Array.of(1, 2, -5, 9, 0, 0), 0, 2)).toEqual({ lowest: -5, highest: 9 });
  });

  it('of uneven steps weighs each by its length', () => {
    const at_s = Float32Array.of(0, 1e-6, 5e-6);
    const read = measureSteps(at_s, Float32Array.of(10, 20, 0), 1e-5);
    expectNear(read.mean, (10 * 1 + 20 * 4 + 0 * 5) / 10, { abs: 1e-5, because: 'moments are float32' });
    expectNear(read.rms, Math.sqrt((100 * 1 + 400 * 4) / 10), { abs: 1e-5, because: 'moments are float32' });
    expect(stepAt(at_s, 4.9e-6)).toBe(1);
    expect(stepAt(at_s, 5e-6)).toBe(2);
  });
});

describe('spectrum', () => {
  it('shows a sine on a line of its own with its amplitude', () => {
    // 2000 samples hold 30 periods: the line stands on a step of the samples, the zeros added do not move it.
    const found = spectrum(sine(2000, 300, 17, 4), STEP_S);
    if (!found) throw new Error('no spectrum');
    const [peak] = peaks(found, 1, 0.1);
    expectNear(peak.at_Hz, 300, {
      abs: 0.05,
      because: 'a parabola through three values of a line 20 Hz wide at half step',
    });
    expectNear(peak.amplitude, 17, { abs: 17 * 0.002, because: 'the parabola is off by less than 0.2 % of the line' });
    expectNear(found.mean, 4, { abs: 1e-5, because: SINGLE });
  });

  it('has the coherent gain and the scalloping loss that are published for the Hann window', () => {
    // F. J. Harris, On the use of windows for harmonic analysis, 1978, table 1, from memory: coherent gain 0.50, loss of
    // 1.42 dB half a step beside a line; an instrument's table that was read says 1.42 dB and -6.02 dB, too.
    const count = 1024;
    const onStep = spectrum(sine(count, 100 / (count * STEP_S), 1), STEP_S);
    const beside = spectrum(sine(count, 100.5 / (count * STEP_S), 1), STEP_S);
    if (!onStep || !beside) throw new Error('no spectrum');
    // Zeros are added for the parabola; the table speaks of the steps of the samples themselves.
    const per = Math.round(1 / (count * STEP_S * onStep.step_Hz));
    expectNear(onStep.amplitude[100 * per], 1, {
      abs: 1e-4,
      because: 'the image at -100 steps leaks less than 1e-6, samples are float32',
    });
    // Half the amplitude of a line and half of the window's height go to each neighbor: 0.5 against 1.
    expectNear(onStep.amplitude[99 * per] / onStep.amplitude[100 * per], 0.5, {
      abs: 1e-3,
      because: 'the neighbors of a Hann line are exactly half of it',
    });
    const loss_dB = 20 * Math.log10(onStep.amplitude[100 * per] / beside.amplitude[100 * per]);
    expectNear(loss_dB, 1.42, { abs: 0.01, because: 'the table has two decimals' });
  });

  it('finds the lines of a six-step current at 5 and 7 times its frequency and names them', () => {
    // Fourier series of a block of 120 degrees: 1/n for n = 1, 5, 7, 11, ..., school mathematics.
    const base_Hz = 200;
    const data = Float32Array.from({ length: 8000 }, (_, k) => {
      const angle = ((base_Hz * k * STEP_S) % 1) * 360;
      const [up, down] = [angle > 30 && angle < 150, angle > 210 && angle < 330];
      return up ? 1 : down ? -1 : 0;
    });
    const found = spectrum(data, STEP_S);
    if (!found) throw new Error('no spectrum');
    const named = peaks(found, 3, 0.01).map(({ at_Hz, amplitude }) => ({
      order: multipleOf(at_Hz, base_Hz, found.width_Hz),
      amplitude,
    }));
    const first = (4 / Math.PI) * Math.cos(Math.PI / 6);
    expect(named.map(({ order }) => order)).toEqual([1, 5, 7]);
    named.forEach(({ amplitude, order = 1 }) => {
      expectNear(amplitude, first / order, {
        abs: 0.02,
        because: 'an edge is known to one sample of 100: 2 % of the line at most',
      });
    });
  });

  it('tells no multiple where the base is not resolved, and no spectrum of gaps', () => {
    expect(multipleOf(300, 100, 400)).toBeUndefined();
    expect(multipleOf(340, 100, 20)).toBeUndefined();
    expect(spectrum(new Float32Array(8), STEP_S)).toBeUndefined();
    expect(spectrum(sine(64, 100, 1).fill(Number.NaN, 3, 4), STEP_S)).toBeUndefined();
  });
});

describe('the current vector', () => {
  it('of a balanced set is a circle whose radius is the peak of a phase', () => {
    // Amplitude-invariant transform: common practice, no source needed beyond the sums of school trigonometry.
    for (let deg = 0; deg < 360; deg += 7) {
      const at = (deg * Math.PI) / 180;
      const phases = [0, 1, 2].map((k) => 12 * Math.cos(at - (k * 2 * Math.PI) / 3));
      expectNear(PAIRS.alphaBeta.x(phases as [number, number, number]), 12 * Math.cos(at), {
        abs: 1e-12,
        because: 'double precision',
      });
      expectNear(PAIRS.alphaBeta.y(phases as [number, number, number]), 12 * Math.sin(at), {
        abs: 1e-12,
        because: 'double precision',
      });
    }
  });
});
