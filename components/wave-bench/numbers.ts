/** Numbers with their units as people read them: a real minus, as many digits as they carry, prefixes for time. */
import { grouped } from './axis.ts';

const THIN = '\u202f';
const MINUS = '\u2212';

/** A value with a fixed count of significant digits; '\u2013' where there is none. */
export function figure(value: number, digits = 4): string {
  if (!Number.isFinite(value)) return '\u2013';
  // Dust of sums that cancel is nothing.
  const size = Math.abs(value) < 1e-9 ? 0 : Math.abs(value);
  if (size !== 0 && (size < 1e-4 || size >= 1e7)) {
    const [mantissa, power] = value.toExponential(digits - 1).split('e');
    return `${mantissa}e${Number(power)}`.replaceAll('-', MINUS);
  }
  const decimals = size === 0 ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
  const text = (size === 0 ? 0 : value).toFixed(Math.min(decimals, 8));
  return (Number(text) === 0 ? text.replace('-', '') : text).replace('-', MINUS);
}

/** A length of time in the unit that suits it. */
export function duration(time_s: number, digits = 4): string {
  const size = Math.abs(time_s);
  if (size === 0) return `0${THIN}s`;
  if (size < 9.995e-4) return `${figure(time_s * 1e6, digits)}${THIN}µs`;
  if (size < 0.9995) return `${figure(time_s * 1e3, digits)}${THIN}ms`;
  return `${figure(time_s, digits)}${THIN}s`;
}

/** A moment of the run, to the microsecond. */
export const moment = (time_s: number): string => `${grouped(time_s.toFixed(6))}${THIN}s`;

/** Short and round, for words: 20 ms, 1.5 s. */
export function roundly(time_s: number): string {
  const size = Math.abs(time_s);
  const [unit_s, name] = size < 9.995e-4 ? [1e-6, 'µs'] : size < 0.9995 ? [1e-3, 'ms'] : [1, 's'];
  return `${Number((time_s / unit_s).toPrecision(3))}${THIN}${name}`;
}

export function hertz(value_Hz: number): string {
  if (!Number.isFinite(value_Hz)) return '\u2013';
  return Math.abs(value_Hz) >= 1e4 ? `${figure(value_Hz / 1e3)}${THIN}kHz` : `${figure(value_Hz)}${THIN}Hz`;
}

/** A mark of a scale: as short as it is exact. */
export const plain = (value: number): string => String(Number(value.toPrecision(9))).replace('-', MINUS);
