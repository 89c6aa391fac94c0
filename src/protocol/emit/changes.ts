/**
 * What the declarations do to what was released: every change that an older side would misread, in words. What may be
 * added (page-evolution.ts) is none. Of each released frame the fields are found by name and must stand where they stood;
 * what is new may take reserved bytes or follow the last field.
 */
import type { Release, ReleasedField, ReleasedFrame, ReleasedKey } from './release.ts';

/** Changes of meaning between what was released and what is declared; empty when there is none. */
export function brokenPromises(released: Release, now: Release): string[] {
  const frames = released.frames.flatMap((was) => frameChanges(was, now));
  const ids = [...now.frames.map((each) => each.id), now.hello.id];
  const again = released.retired.filter((id) => ids.includes(id)).map((id) => `id ${id} is used again`);
  const twice = ids.filter((id, k) => ids.indexOf(id) !== k).map((id) => `id ${id} is used twice`);
  return [...frames, ...again, ...twice, ...helloChanges(released.hello, now.hello)];
}

/** Released ids that are declared no more: retired from the next version on. */
export function retiredIds(released: Release, now: Release): number[] {
  const ids = [...now.frames.map((each) => each.id), now.hello.id];
  const before = [...released.retired, ...released.frames.map((each) => each.id), released.hello.id];
  return [...new Set(before.filter((id) => !ids.includes(id)))].sort((a, b) => a - b);
}

function frameChanges(was: ReleasedFrame, now: Release): string[] {
  const same = now.frames.find((each) => each.id === was.id);
  if (!same) return [`${was.name}, id ${was.id}, is gone`];
  return [
    ...differences(was.name, was, same, ['name', 'from', 'leastBytes']),
    ...(same.bytes < was.bytes ? [`${was.name}: bytes was ${was.bytes}, is ${same.bytes}`] : []),
    ...was.fields.filter((each) => each.kind !== 'pad').flatMap((each) => fieldChanges(was.name, each, same)),
    ...newFields(was, same),
  ];
}

function fieldChanges(frame: string, was: ReleasedField, within: ReleasedFrame): string[] {
  const name = `${frame}.${was.name}`;
  const now = within.fields.find((each) => each.name === was.name);
  if (!now) return [`${name} is gone`];
  const bits = (was.bits ?? []).flatMap((bit, k) =>
    now.bits?.[k] === bit ? [] : [`${name}: bit ${k} was ${bit}, is ${now.bits?.[k] ?? 'gone'}`],
  );
  const codes = Object.entries(was.codes ?? {}).flatMap(([code, value]) =>
    now.codes?.[code] === value ? [] : [`${name}: ${code} was ${value}, is ${now.codes?.[code] ?? 'gone'}`],
  );
  const numbers = Object.values(now.codes ?? {});
  const twice = numbers.filter((n, k) => numbers.indexOf(n) !== k).map((n) => `${name}: code ${n} is used twice`);
  return [...differences(name, was, now, FIXED), ...bits, ...codes, ...twice];
}

const FIXED = ['kind', 'offset', 'size', 'most', 'unit', 'scale', 'appended'] as const;

/** A new field may lie in reserved bytes, or behind all that was released and say so. */
function newFields(was: ReleasedFrame, now: ReleasedFrame): string[] {
  const known = was.fields.filter((each) => each.kind !== 'pad').map((each) => each.name);
  const fresh = now.fields.filter((each) => each.kind !== 'pad' && !known.includes(each.name));
  return fresh.flatMap((field) => {
    const end = field.offset + field.size;
    const reserved = was.fields.some(
      ({ kind, offset, size }) => kind === 'pad' && offset <= field.offset && end <= offset + size,
    );
    if (reserved || (field.offset >= was.bytes && field.appended)) return [];
    const what = field.offset >= was.bytes ? 'is not marked appended' : 'stands where no reserved bytes were';
    return [`${was.name}.${field.name} is new and ${what}`];
  });
}

function helloChanges(was: Release['hello'], now: Release['hello']): string[] {
  return [
    ...differences('Hello', was, now, ['id']),
    ...(now.bytesMost < was.bytesMost ? [`Hello: bytesMost was ${was.bytesMost}, is ${now.bytesMost}`] : []),
    ...keyChanges('Hello', was.keys, now.keys),
    ...keyChanges('Hello.watch[]', was.watchKeys, now.watchKeys),
  ];
}

type Keys = Readonly<Record<string, ReleasedKey>>;

function keyChanges(of: string, was: Keys, now: Keys): string[] {
  const changed = Object.entries(was).flatMap(([key, before]) =>
    now[key] ? limitChanges(`${of}.${key}`, before, now[key]) : [`${of}.${key} is gone`],
  );
  const demanded = Object.keys(now).filter((key) => !was[key] && now[key].required);
  return [...changed, ...demanded.map((key) => `${of}.${key} is new and not optional`)];
}

/** Limits that may move, and the way that lets more through. */
const WIDER: Readonly<Record<string, (was: number, now: number) => boolean>> = {
  minimum: (was, now) => now <= was,
  exclusiveMinimum: (was, now) => now <= was,
  minLength: (was, now) => now <= was,
  maximum: (was, now) => now >= was,
  maxLength: (was, now) => now >= was,
  maxItems: (was, now) => now >= was,
};

function limitChanges(name: string, was: ReleasedKey, now: ReleasedKey): string[] {
  return [...new Set([...Object.keys(was), ...Object.keys(now)])]
    .filter((part) => JSON.stringify(was[part]) !== JSON.stringify(now[part]) && !isWider(part, was[part], now[part]))
    .map((part) => `${name}: ${part} was ${was[part] ?? 'not there'}, is ${now[part] ?? 'gone'}`);
}

function isWider(part: string, was: unknown, now: unknown): boolean {
  if (part === 'enum') return Array.isArray(was) && Array.isArray(now) && was.every((each) => now.includes(each));
  if (!(part in WIDER)) return false;
  return now === undefined || (was !== undefined && WIDER[part](was as number, now as number));
}

function differences<T extends object>(name: string, was: T, now: T, parts: readonly (keyof T & string)[]): string[] {
  return parts
    .filter((part) => was[part] !== now[part])
    .map((part) => `${name}: ${part} was ${was[part] ?? 'not there'}, is ${now[part] ?? 'gone'}`);
}
