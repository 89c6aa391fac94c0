/**
 * How a file writes the numbers of a drill: in their SI unit, or in it with a prefix (15 mohm, 40 uH, 20 kHz); and in a few
 * units that the trade uses beside SI.
 */
import { describe, type QuantityResult } from './quantity.ts';

const PREFIXES: Readonly<Record<string, number>> = {
  '': 1,
  G: 1e9,
  M: 1e6,
  k: 1e3,
  m: 1e-3,
  u: 1e-6,
  n: 1e-9,
  p: 1e-12,
};

/** SI unit: other units and their SI value. */
const BESIDE: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  '': { '%': 0.01 },
  rad: { deg: Math.PI / 180 },
  'rad/s': { rpm: Math.PI / 30 },
  A·s: { Ah: 3600, mAh: 3.6 },
  s: { min: 60 },
};

const SPELLINGS: Readonly<Record<string, string>> = { Ω: 'ohm', mΩ: 'mohm', µH: 'uH', µF: 'uF', µs: 'us' };
const SHAPE = /^\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S(?:[^\n]{0,30}\S)?)?\s*$/u;

/** Takes a prefix: it begins with a letter, and one step of it is not an inverse or a mass. */
const takesPrefix = (unit: string): boolean => /^\p{L}/u.test(unit) && !/^(kg|counts)/.test(unit);

/** Factors to SI of every way in which a value of that unit may be written. */
export function unitsOf(si: string): ReadonlyMap<string, number> {
  const found = new Map<string, number>([[si, 1], ...Object.entries(BESIDE[si] ?? {})]);
  if (takesPrefix(si)) for (const [prefix, factor] of Object.entries(PREFIXES)) found.set(`${prefix}${si}`, factor);
  return found;
}

/** What is said to be allowed: all of them would be a long list. */
function allowedText(si: string): string {
  const beside = Object.keys(BESIDE[si] ?? {});
  if (si === '') return ['a plain number', ...beside.map((unit) => `a number of ${unit}`)].join(' or ');
  const prefixes = Object.keys(PREFIXES).filter((prefix) => prefix !== '');
  const prefixed = takesPrefix(si) ? `, with a prefix ${prefixes.join(', ')} or without` : '';
  return [`${si}${prefixed}`, ...beside].join(', ');
}

/** Reads one number of a drill into SI. Never throws. */
export function readParameter(value: unknown, si: string): QuantityResult {
  const refuse = (why: string): QuantityResult => ({ ok: false, why: `${why}; allowed is ${allowedText(si)}` });
  if (typeof value === 'number' && Number.isFinite(value)) {
    return si === '' ? { ok: true, si: value } : refuse(`${value} has no unit; write it as '${value} ${si}'`);
  }
  const match = typeof value === 'string' && value.length <= 60 ? SHAPE.exec(value) : null;
  if (!match) return refuse(`${describe(value)} is not a number with a unit`);
  const [, digits, written = ''] = match;
  if (written === '' && si !== '') return refuse(`${digits} has no unit; write it as '${digits} ${si}'`);
  const units = unitsOf(si);
  const unit = Object.hasOwn(SPELLINGS, written) ? SPELLINGS[written] : written;
  const factor = units.get(unit);
  if (factor === undefined) return refuse(`${describe(value)} has the unit ${written}`);
  const number = Number(digits) * factor;
  return Number.isFinite(number) ? { ok: true, si: number } : refuse(`${describe(value)} is not a finite number`);
}
