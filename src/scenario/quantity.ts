/**
 * Values as people write them: a number and its unit in one text, '60 %', '0.05 s', '6 N·m'.
 *
 * A number without its unit is refused: whoever reads a scenario a year later shall not have to guess.
 */
import { DISPLAY_UNITS, fromDisplay, toDisplay } from '../units/convert.ts';
import { shown } from './shown.ts';

/** What a key accepts: the units it may be written in and the range it may lie in. */
export interface QuantityKind {
  /** Accepted units, the usual one first; keys of DISPLAY_UNITS. */ readonly units: readonly string[];
  /** Smallest and largest value, in the usual unit. */ readonly range: readonly [number, number];
}

export type QuantityResult = { readonly ok: true; readonly si: number } | { readonly ok: false; readonly why: string };

/** Other spellings that keyboards produce. */
const SPELLINGS: Readonly<Record<string, string>> = {
  'N m': 'N·m',
  Nm: 'N·m',
  'mN m': 'mN·m',
  mNm: 'mN·m',
  µs: 'us',
  μs: 'us',
  '°': 'deg',
  '° el': 'deg el',
};

/** No value is written longer; searching a long text for one would take long. */
const LONGEST = 100;

const NUMBER = '[-+]?(?:\\d+(?:\\.\\d*)?|\\.\\d+)(?:[eE][-+]?\\d+)?';
const SHAPE = new RegExp(`^\\s*(${NUMBER})\\s*(.*?)\\s*$`, 'u');

/** Regular expression, as JSON Schema takes it, of every text that has one of the units. */
export function quantityPattern(units: readonly string[]): string {
  const spelled = units.flatMap((unit) => [unit, ...Object.keys(SPELLINGS).filter((s) => SPELLINGS[s] === unit)]);
  return `^\\s*${NUMBER}\\s*(?:${spelled.map(escapeForPattern).join('|')})\\s*$`;
}

/** The range of a kind as text, such as '0 % to 100 %'. */
export function rangeText({ units, range }: QuantityKind): string {
  return `${range[0]} ${units[0]} to ${range[1]} ${units[0]}`;
}

/** Reads a value with its unit into SI. Never throws; the reason names what was found and what is allowed. */
export function readQuantity(value: unknown, kind: QuantityKind): QuantityResult {
  const read = readWithUnit(value, kind.units);
  if (!read.ok) return read;
  const usual = kind.units[0];
  const shown = toDisplay(read.si, usual);
  // A bound written exactly is inside, whatever the conversion rounds.
  const slack = 1e-12 * Math.max(Math.abs(kind.range[0]), Math.abs(kind.range[1]));
  if (shown >= kind.range[0] - slack && shown <= kind.range[1] + slack) return read;
  return { ok: false, why: `${String(value).trim()} is out of range; allowed is ${rangeText(kind)}` };
}

/** As readQuantity, with any magnitude. Used for limits, whose range is that of their signal. */
export function readWithUnit(value: unknown, units: readonly string[]): QuantityResult {
  const allowed = `allowed ${units.length === 1 ? 'is' : 'are'} ${units.join(', ')}`;
  const text = typeof value === 'number' || typeof value === 'string' ? String(value) : '';
  const match = text.length > LONGEST ? null : SHAPE.exec(text);
  if (!match) {
    return {
      ok: false,
      why: `${describe(value)} is not a number with a unit; write it as '0 ${units[0]}', ${allowed}`,
    };
  }
  const [, digits, written] = match;
  if (written === '') {
    return { ok: false, why: `${digits} has no unit; write it as '${digits} ${units[0]}', ${allowed}` };
  }
  const unit = SPELLINGS[written] ?? written;
  if (!units.includes(unit)) return { ok: false, why: `'${digits} ${written}' has the unit ${written}; ${allowed}` };
  const si = fromDisplay(Number(digits), unit);
  if (!Number.isFinite(si)) return { ok: false, why: `'${digits} ${written}' is not a finite number` };
  return { ok: true, si };
}

/**
 * Units in which a signal may be limited: all that measure the same as the unit it is shown in. Electrical and
 * mechanical angles differ by the pole pairs, so the two never stand in for each other.
 */
export function unitsLike(show: string): readonly string[] {
  const { si } = DISPLAY_UNITS[show];
  if (si === '') return [show];
  const electrical = (unit: string) => unit.endsWith(' el');
  const same = Object.keys(DISPLAY_UNITS).filter(
    (unit) => DISPLAY_UNITS[unit].si === si && electrical(unit) === electrical(show),
  );
  return [show, ...same.filter((unit) => unit !== show)];
}

/** What was found, short enough for one line. */
export function describe(value: unknown): string {
  if (value === null || value === undefined) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a group of keys';
  if (typeof value === 'string') return `'${shown(value, 60)}'`;
  // As YAML writes them.
  if (Number.isNaN(value)) return '.nan';
  if (value === Number.POSITIVE_INFINITY) return '.inf';
  if (value === Number.NEGATIVE_INFINITY) return '-.inf';
  return String(value);
}

function escapeForPattern(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\/]/g, '\\$&');
}
