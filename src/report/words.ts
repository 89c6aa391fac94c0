/** Numbers and names of runs as reports say them. */
import type { CheckTold, RunTold } from './model.ts';

/** Digits that a reader can use. */
const DIGITS = 4;

/** A number with four digits, without trailing zeros; what is very small or very large as a power of ten. */
export function numberText(value: number): string {
  const size = Math.abs(value);
  if (size !== 0 && (size < 1e-4 || size >= 1e7)) {
    const [mantissa, power] = value.toExponential(DIGITS - 1).split('e');
    return `${Number(mantissa)}e${Number(power)}`;
  }
  return String(size >= 10 ** DIGITS ? Math.round(value) : Number(value.toPrecision(DIGITS)));
}

/** The same with a real minus, for people. */
export const shownNumber = (value: number): string => numberText(value).replaceAll('-', '\u2212');

export const withUnit = (value: number, unit: string): string =>
  unit === '' ? shownNumber(value) : `${shownNumber(value)}\u00a0${unit}`;

/** A moment or a length of time; below a millisecond in microseconds. */
export const timeText = (t_s: number): string =>
  t_s !== 0 && Math.abs(t_s) < 1e-3 ? withUnit(t_s * 1e6, 'µs') : withUnit(t_s, 's');

/** What sets a run apart from others of the same scenario: its point and its seed; '' when nothing does. */
export function pointText({ point, seed }: RunTold): string {
  const parts = point.map(({ name, text }) => `${name} ${text}`);
  if (seed !== null) parts.push(`seed ${seed}`);
  return parts.join(', ');
}

/** A run in one line. */
export function runName(run: RunTold): string {
  const point = pointText(run);
  return point === '' ? run.title : `${run.title} [${point}]`;
}

/** Value, limit, margin, moment and reason of a check in one plain line. */
export function checkText(check: CheckTold): string {
  const unit = check.unit === '' ? '' : ` ${check.unit}`;
  const parts = [check.value === null ? 'no value' : `value ${numberText(check.value)}${unit}`];
  if (check.limit !== null) parts.push(`limit ${check.bound ?? ''} ${numberText(check.limit)}${unit}`);
  if (check.margin !== null) parts.push(`margin ${numberText(check.margin)}${unit}`);
  if (check.at_s !== null) parts.push(`at ${timeText(check.at_s).replace('\u00a0', ' ')}`);
  return `${parts.join(', ')}${check.why === '' ? '' : ` (${check.why})`}`;
}

/** True for a check that every run has because the coupling cannot judge it: it tells, but does not count. */
export const isUncounted = ({ coupling }: RunTold, { verdict, signal, name }: CheckTold): boolean =>
  verdict === 'not evaluated' && coupling === 'rate-split' && signal === 'energyResidual' && name === 'energy balances';
