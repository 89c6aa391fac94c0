/**
 * Amplitude spectrum of a stretch of samples. The mean is taken off, a periodic Hann window laid over all samples, zeros
 * added up to a power of two, and amplitudes divided by the sum of the window (its coherent gain), so that a sine stands
 * there with its peak value.
 */
import FFT from 'fft.js';

export interface Spectrum {
  /** From one value to the next [Hz]. */ readonly step_Hz: number;
  /** Width of a line between its first zeros: four steps of the samples themselves, before zeros were added [Hz]. */
  readonly width_Hz: number;
  /** Peak amplitude per value, in the unit of the trace. */ readonly amplitude: Float32Array;
  readonly mean: number;
}

/** The longest stretch that is taken apart: 10 s at 20 kHz fit. */
export const SAMPLES_MOST = 262_144;
export const SAMPLES_LEAST = 16;
/** Values a step of the samples, at least: a peak is then found between two of them. */
const PADDED = 2;

/** undefined where there are too few samples or one is missing. */
export function spectrum(data: Float32Array, step_s: number): Spectrum | undefined {
  const count = Math.min(data.length, SAMPLES_MOST);
  if (count < SAMPLES_LEAST) return undefined;
  const from = data.length - count;
  let sum = 0;
  for (let k = 0; k < count; k++) sum += data[from + k];
  if (!Number.isFinite(sum)) return undefined;
  const mean = sum / count;
  let size = SAMPLES_LEAST;
  while (size < PADDED * count) size *= 2;
  const fft = new FFT(size);
  const input = new Float64Array(size);
  let gain = 0;
  for (let k = 0; k < count; k++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * k) / count);
    gain += weight;
    input[k] = (data[from + k] - mean) * weight;
  }
  const out = fft.createComplexArray();
  fft.realTransform(out, input);
  const amplitude = new Float32Array(size / 2);
  for (let k = 0; k < amplitude.length; k++) amplitude[k] = (2 * Math.hypot(out[2 * k], out[2 * k + 1])) / gain;
  return { step_Hz: 1 / (size * step_s), width_Hz: 4 / (count * step_s), amplitude, mean };
}

export interface Peak {
  readonly at_Hz: number;
  readonly amplitude: number;
}

/** The highest lines, highest first; a parabola through the logarithms of three values finds where a line stands. */
export function peaks({ amplitude, step_Hz, width_Hz }: Spectrum, most: number, floor: number): Peak[] {
  const half = Math.max(1, Math.round(width_Hz / step_Hz / 2));
  const found: Peak[] = [];
  for (let k = 1; k < amplitude.length - 1; k++) {
    const here = amplitude[k];
    if (here < floor || here <= amplitude[k - 1] || here < amplitude[k + 1]) continue;
    let top = true;
    for (let j = Math.max(1, k - half); j <= Math.min(amplitude.length - 1, k + half) && top; j++)
      top = amplitude[j] <= here;
    if (!top) continue;
    const a = Math.log(amplitude[k - 1] / here);
    const c = Math.log(amplitude[k + 1] / here);
    const shift = (a - c) / (2 * (a + c));
    found.push({ at_Hz: (k + shift) * step_Hz, amplitude: here * Math.exp(-((a - c) * shift) / 4) });
  }
  return found.sort((p, q) => q.amplitude - p.amplitude).slice(0, most);
}

/** Which multiple of a base a frequency is, undefined when it is none within the width of a line. */
export function multipleOf(at_Hz: number, base_Hz: number, width_Hz: number): number | undefined {
  if (!(base_Hz > width_Hz / 2)) return undefined;
  const order = Math.round(at_Hz / base_Hz);
  return order >= 1 && Math.abs(at_Hz - order * base_Hz) <= width_Hz / 4 ? order : undefined;
}
