/** Numbers as the view of runs shows them: four digits, a real minus, the unit after a space. */
const DIGITS = 4;

export function shownNumber(value: number): string {
  const size = Math.abs(value);
  const text =
    size !== 0 && (size < 1e-4 || size >= 1e7)
      ? value.toExponential(DIGITS - 1).replace(/\.?0*e\+?/, 'e')
      : String(size >= 10 ** DIGITS ? Math.round(value) : Number(value.toPrecision(DIGITS)));
  return text.replaceAll('-', '\u2212');
}

export const withUnit = (value: number, unit: string): string =>
  unit === '' ? shownNumber(value) : `${shownNumber(value)}\u00a0${unit}`;

/** A moment or a length of virtual time; below a millisecond in microseconds. */
export const timeText = (t_s: number): string =>
  t_s !== 0 && Math.abs(t_s) < 1e-3 ? withUnit(t_s * 1e6, 'µs') : withUnit(t_s, 's');

/** A wall time in words that need no reading twice. */
export function span(time_s: number): string {
  if (time_s < 10) return `${time_s.toFixed(1)}\u202fs`;
  if (time_s < 90) return `${Math.round(time_s)}\u202fs`;
  return `${Math.round(time_s / 60)}\u202fmin`;
}

export const orDash = (value: number | null, unit: string): string => (value === null ? '–' : withUnit(value, unit));
