/** Units of the numbers that checks take: those of a signal, of time, of its integral, or none. */

import { SIGNAL_INDEX, SIGNALS } from '../../signals.ts';
import { DISPLAY_UNITS, toDisplay } from '../../units/convert.ts';
import { readAmount } from '../amount.ts';
import { type QuantityResult, readWithUnit, unitsLike } from '../quantity.ts';
import type { CheckSpec } from './spec.ts';

export interface NumberUnit {
  /** As people read it, '' for none. */ readonly show: string;
  /** A value for people. */ shown(si: number): number;
  /** A difference for people: the zero of the unit plays no part. */ room(si: number): number;
  /** A limit as a file says it. */ read(value: unknown): QuantityResult;
}

/** That of a signal. */
export function signalUnit({ signal }: CheckSpec): NumberUnit {
  const { show, id } = SIGNALS[SIGNAL_INDEX[signal]];
  return {
    show,
    shown: (si) => toDisplay(si, show),
    room: (si) => si / DISPLAY_UNITS[show].factor,
    read: (value) => readAmount(value, show, id),
  };
}

/** That of a difference of two values of a signal; a difference of temperatures is in kelvin. */
export function differenceUnit(unit: NumberUnit): NumberUnit {
  const { offset = 0, si } = DISPLAY_UNITS[unit.show] ?? { si: '' };
  if (offset === 0) return unit;
  return {
    show: si,
    shown: (value) => value,
    room: (value) => value,
    read: (value) => readWithUnit(value, [si]),
  };
}

/** Of a time. */
export const TIME: NumberUnit = {
  show: 's',
  shown: (si) => si,
  room: (si) => si,
  read: (value) => readWithUnit(value, ['s', 'ms', 'us']),
};

/** Of a count. */
export const COUNT: NumberUnit = {
  show: '',
  shown: (si) => si,
  room: (si) => si,
  read: (value) => readAmount(value, '', 'a count'),
};

/** Of the integral of a signal over time, or of its square. Temperatures are counted from absolute zero. */
export function integralUnit({ signal, part }: CheckSpec): NumberUnit {
  const { show, unit } = SIGNALS[SIGNAL_INDEX[signal]];
  const square = part === 'square';
  const base = DISPLAY_UNITS[show].offset ? unit : show;
  const suffix = square ? '²·s' : '·s';
  const factorOf = (name: string) => DISPLAY_UNITS[name].factor ** (square ? 2 : 1);
  const factor = factorOf(base);
  const named = (name: string) => (name === '' ? 's' : `${name}${suffix}`);
  const units = new Map(base === '' ? [['s', 1]] : unitsLike(base).map((name) => [named(name), factorOf(name)]));
  if (unit === 'rad/s' && !square) {
    units.set('rad', 1);
    if (!show.endsWith(' el')) units.set('deg', DISPLAY_UNITS.deg.factor);
  }
  return {
    show: named(base),
    shown: (si) => si / factor,
    room: (si) => si / factor,
    read: (value) => readFactored(value, units),
  };
}

const SHAPE = /^\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S(?:.{0,20}\S)?)\s*$/u;

function readFactored(value: unknown, units: ReadonlyMap<string, number>): QuantityResult {
  const names = [...units.keys()];
  const match = typeof value === 'string' && value.length <= 100 ? SHAPE.exec(value) : null;
  const factor = match ? units.get(match[2]) : undefined;
  const si = Number(match?.[1]) * (factor ?? Number.NaN);
  if (Number.isFinite(si)) return { ok: true, si };
  const read = readWithUnit(value, names);
  const allowed = `allowed ${names.length === 1 ? 'is' : 'are'} ${names.join(', ')}`;
  return read.ok ? { ok: false, why: `'${String(value)}' does not fit; ${allowed}` } : read;
}
