/** What the stretch between two marks says about a trace. Sums run in double precision over every sample there is. */

export interface Measured {
  readonly mean: number;
  readonly rms: number;
  readonly lowest: number;
  readonly highest: number;
  /** Of the trace itself [Hz], NaN where it does not repeat. */ readonly own_Hz: number;
}

/** A crossing counts only once the trace has gone this share of its height past the middle. */
const ARMED = 0.1;
/** Periods may differ by this share of their mean, and the trace still counts as one that repeats. */
const UNEVEN = 0.15;

/**
 * All samples from `first` up to, not including, `end`; at least one. The half-open stretch makes the mean of a whole period
 * that of the period.
 */
export function measure(data: Float32Array, first: number, end: number, step_s: number): Measured {
  const stop = Math.min(data.length, Math.max(end, first + 1));
  let count = 0;
  let sum = 0;
  let squares = 0;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let k = Math.max(0, first); k < stop; k++) {
    const value = data[k];
    if (Number.isNaN(value)) continue;
    count++;
    sum += value;
    squares += value * value;
    if (value < lowest) lowest = value;
    if (value > highest) highest = value;
  }
  const none = count === 0;
  const mean = none ? Number.NaN : sum / count;
  return {
    mean,
    rms: none ? Number.NaN : Math.sqrt(squares / count),
    lowest: none ? Number.NaN : lowest,
    highest: none ? Number.NaN : highest,
    own_Hz: none
      ? Number.NaN
      : repetition(data, Math.max(0, first), stop, (lowest + highest) / 2, highest - lowest, step_s),
  };
}

/** Lowest and highest alone, of columns that hold both. */
export function reach(pairs: Float32Array, first: number, end: number): Pick<Measured, 'lowest' | 'highest'> {
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let k = Math.max(0, first); k < Math.min(pairs.length / 2, Math.max(end, first + 1)); k++) {
    if (pairs[2 * k] < lowest) lowest = pairs[2 * k];
    if (pairs[2 * k + 1] > highest) highest = pairs[2 * k + 1];
  }
  return lowest > highest ? { lowest: Number.NaN, highest: Number.NaN } : { lowest, highest };
}

/** Frequency from the rising crossings of the middle, laid between samples by a straight line. */
function repetition(
  data: Float32Array,
  first: number,
  end: number,
  middle: number,
  height: number,
  step_s: number,
): number {
  if (!(height > 0)) return Number.NaN;
  const below = middle - ARMED * height;
  let armed = false;
  let before = Number.NaN;
  let crossings = 0;
  let firstAt = 0;
  let lastAt = 0;
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let k = first; k < end; k++) {
    const value = data[k];
    if (Number.isNaN(value)) return Number.NaN;
    if (value < below) armed = true;
    else if (armed && value >= middle && before < middle) {
      const at = k - (value - middle) / (value - before);
      if (crossings === 0) firstAt = at;
      else {
        least = Math.min(least, at - lastAt);
        most = Math.max(most, at - lastAt);
      }
      lastAt = at;
      crossings++;
      armed = false;
    }
    before = value;
  }
  if (crossings < 3) return Number.NaN;
  const period = (lastAt - firstAt) / (crossings - 1);
  return most - least > UNEVEN * period ? Number.NaN : 1 / (period * step_s);
}

/** The last step at or before a moment after the first one. */
export function stepAt(at_s: Float32Array, when_s: number): number {
  let low = 0;
  let high = at_s.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    // Moments are float32: half a step of slack of the finest ones.
    if (at_s[middle] <= when_s + 1e-9) low = middle;
    else high = middle - 1;
  }
  return low;
}

/** The same over uneven steps, each value weighted by the time until the next one, or until the stretch ends. */
export function measureSteps(at_s: Float32Array, data: Float32Array, end_s: number): Measured {
  let time = 0;
  let sum = 0;
  let squares = 0;
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < data.length; k++) {
    const value = data[k];
    const weight = Math.max(0, (k + 1 < data.length ? at_s[k + 1] : end_s) - at_s[k]);
    if (Number.isNaN(value)) continue;
    time += weight;
    sum += weight * value;
    squares += weight * value * value;
    lowest = Math.min(lowest, value);
    highest = Math.max(highest, value);
  }
  if (!(time > 0))
    return { mean: Number.NaN, rms: Number.NaN, lowest: Number.NaN, highest: Number.NaN, own_Hz: Number.NaN };
  return { mean: sum / time, rms: Math.sqrt(squares / time), lowest, highest, own_Hz: Number.NaN };
}
