/** Numbers with their units as files write them, and back. */
import type { Written } from './campaign.ts';
import type { Value } from './results.ts';

const SHAPE = /^\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*$/u;
/** Digits of a value that was computed: enough for any part, few enough to read. */
const DIGITS = 9;

/** A number, or text that begins with one; undefined for anything else. */
export function readWritten(value: unknown): Written | undefined {
  if (typeof value === 'number') return Number.isFinite(value) ? { number: value, unit: '' } : undefined;
  const match = typeof value === 'string' ? SHAPE.exec(value) : null;
  if (!match) return undefined;
  const number = Number(match[1]);
  return Number.isFinite(number) ? { number, unit: match[2] } : undefined;
}

/** The value for a scenario: text with the unit, a number where there is none. */
export function writeValue(number: number, unit: string): Value {
  return unit === '' ? number : `${number} ${unit}`;
}

/** Rounds to the digits that are kept; a whole number stays as it is. */
export function kept(number: number): number {
  return Number.isInteger(number) ? number : Number(number.toPrecision(DIGITS));
}
