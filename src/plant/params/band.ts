/**
 * How a parameter is declared: its physical band, unit and meaning, once. Types, checks, lists and documents derive
 * from the declaration; a value outside its band is refused by name.
 */
import { requireRange } from '../../units/checks.ts';

export interface Band {
  readonly kind: 'number' | 'list';
  readonly low: number;
  readonly high: number;
  readonly whole: boolean;
  /** SI unit, '' when dimensionless. */ readonly unit: string;
  readonly doc: string;
}

export type Group = Readonly<Record<string, Band>>;

/** Values of a declared group. */
export type ValuesOf<G extends Group> = {
  readonly [K in keyof G]: G[K]['kind'] extends 'list' ? readonly number[] : number;
};

type One = Band & { readonly kind: 'number' };
type Many = Band & { readonly kind: 'list' };

/** A number within low .. high. */
export const number = (low: number, high: number, unit: string, doc: string): One =>
  Object.freeze({ kind: 'number', low, high, whole: false, unit, doc });

/** A whole number within low .. high. */
export const whole = (low: number, high: number, doc: string): One =>
  Object.freeze({ kind: 'number', low, high, whole: true, unit: '', doc });

/** A list of numbers, each within low .. high. */
export const list = (low: number, high: number, unit: string, doc: string): Many =>
  Object.freeze({ kind: 'list', low, high, whole: false, unit, doc });

/** Throws RangeError naming parameter, value, unit and band. */
export function checkGroup(name: string, group: Group, values: Readonly<Record<string, unknown>>): void {
  for (const [key, band] of Object.entries(group)) {
    const value = values[key];
    const many = band.kind === 'list';
    if (many !== Array.isArray(value) || (many && (value as unknown[]).length === 0)) {
      throw new RangeError(`${name}.${key} is ${String(value)}; it must be ${many ? 'a list of numbers' : 'a number'}`);
    }
    for (const v of many ? (value as number[]) : [value as number]) {
      requireRange(`${name}.${key}`, v, band.low, band.high, band.unit);
      if (band.whole && !Number.isInteger(v)) {
        throw new RangeError(`${name}.${key} is ${v}; it must be a whole number from ${band.low} to ${band.high}`);
      }
    }
  }
  for (const key of Object.keys(values)) {
    if (!(key in group))
      throw new RangeError(`${name}.${key} is no parameter; ${name} has ${Object.keys(group).join(', ')}`);
  }
}
