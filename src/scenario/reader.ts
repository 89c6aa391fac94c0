/** What the readers of the parts of a scenario share: where to complain, and how values are read. */
import { KINDS, type KindName } from './kinds.ts';
import { readQuantity } from './quantity.ts';
import type { Path } from './source.ts';

export type Content = Readonly<Record<string, unknown>>;
export type Fail = (path: Path, why: string, atKey?: boolean) => void;

/** The value as a group of keys, empty when it is none. */
export function record(value: unknown): Content {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Content) : {};
}

/** The value as a list, empty when it is none. */
export function list(value: unknown): unknown[] {
  return Array.isArray(value) ? value : [];
}

/** One group of keys of a scenario, read key by key; what does not fit is told and left out. */
export class Group {
  readonly from: Content;
  readonly path: Path;
  readonly fail: Fail;

  constructor(from: unknown, path: Path, fail: Fail) {
    this.from = record(from);
    this.path = path;
    this.fail = fail;
  }

  has(key: string): boolean {
    return Object.hasOwn(this.from, key);
  }

  at(key: string): Path {
    return [...this.path, key];
  }

  refuse(key: string, why: string): undefined {
    this.fail(this.at(key), why);
    return undefined;
  }

  /** A value with its unit in SI, undefined when it is left out or refused. */
  quantity(key: string, kind: KindName): number | undefined {
    if (!this.has(key)) return undefined;
    const read = readQuantity(this.from[key], KINDS[kind]);
    return read.ok ? read.si : this.refuse(key, read.why);
  }

  /** One of some words, undefined when it is left out or none of them: the schema has told that. */
  word<W extends string>(key: string, words: readonly W[]): W | undefined {
    const value = this.has(key) ? this.from[key] : undefined;
    return words.find((word) => word === value);
  }
}
