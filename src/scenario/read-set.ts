/** `set`: numbers of the drill by their declared key, each with its unit, held to the band in which the plant declares it. */
import type { Band } from '../plant/params/band.ts';
import { GROUPS } from '../plant/params.ts';
import { START_KEYS } from './drill.ts';
import { suggestion } from './nearest.ts';
import { readParameter } from './parameter-units.ts';
import { describe } from './quantity.ts';
import { type Group, list, record } from './reader.ts';
import type { SetValue } from './scenario.ts';
import type { Path } from './source.ts';

/** Every number of a drill: 'winding.r_ohm' and how it is declared. */
export const PARAMETERS: ReadonlyMap<string, Band> = new Map(
  Object.entries(GROUPS).flatMap(([group, rows]) =>
    Object.entries(rows as Readonly<Record<string, Band>>).map(([key, band]): [string, Band] => [
      `${group}.${key}`,
      band,
    ]),
  ),
);

/** Reads the group; both `winding.r_ohm: 15 mohm` and `winding: { r_ohm: 15 mohm }` are taken. */
export function readSet(group: Group): readonly SetValue[] {
  const found: SetValue[] = [];
  for (const [key, value] of Object.entries(group.from)) {
    const inner = record(value);
    if (Object.hasOwn(GROUPS, key) && inner === value) {
      for (const [item, one] of Object.entries(inner))
        take(group, [...group.at(key), item], `${key}.${item}`, one, found);
    } else take(group, group.at(key), key, value, found);
  }
  return Object.freeze(found);
}

function take(group: Group, path: Path, key: string, value: unknown, found: SetValue[]): void {
  const band = PARAMETERS.get(key);
  if (band === undefined) {
    const [head] = key.split('.');
    const near = [...PARAMETERS.keys()].filter((each) => each.startsWith(`${head}.`));
    const known = near.length > 0 ? suggestion(key, near) : `of the groups, ${suggestion(head, Object.keys(GROUPS))}`;
    group.fail(path, `${describe(key)} is no number of a drill; ${known}`, true);
    return;
  }
  if (Object.hasOwn(START_KEYS, key)) {
    group.fail(path, `'${key}' is said by 'start: { ${START_KEYS[key]}: ... }'`, true);
    return;
  }
  if (found.some((each) => each.key === key)) {
    group.fail(path, `'${key}' stands here twice`, true);
    return;
  }
  const read = band.kind === 'list' ? manyOf(value, band) : oneOf(value, band);
  if (typeof read === 'string') group.fail(path, read);
  else found.push(Object.freeze({ key, value: read, text: textOf(value) }));
}

function oneOf(value: unknown, band: Band): number | string {
  const read = readParameter(value, band.unit);
  if (!read.ok) return read.why;
  const { low, high, whole, unit, doc } = band;
  const slack = 1e-12 * Math.max(Math.abs(low), Math.abs(high));
  if (!(read.si >= low - slack && read.si <= high + slack)) {
    return `${describe(value)} is out of range; allowed is ${`${low} to ${high} ${unit}`.trim()} (${doc})`;
  }
  if (whole && !Number.isInteger(read.si)) return `${describe(value)} does not fit; allowed is a whole number (${doc})`;
  return Math.min(Math.max(read.si, low), high);
}

function manyOf(value: unknown, band: Band): readonly number[] | string {
  if (!Array.isArray(value) || value.length === 0)
    return `${describe(value)} does not fit; allowed is a list (${band.doc})`;
  const all = list(value).map((each) => oneOf(each, band));
  const wrong = all.find((each) => typeof each === 'string');
  return wrong === undefined ? Object.freeze(all as number[]) : (wrong as string);
}

const textOf = (value: unknown): string => (Array.isArray(value) ? value.map(String).join(', ') : String(value).trim());
