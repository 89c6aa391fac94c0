/**
 * What the declarations promise, as plain data: frames, fields, places, units, scales, bits, codes, and the keys of Hello
 * with their limits. tests/protocol/released.json holds what was released; changes.ts compares.
 */
import type { Field, Frame } from '../dsl.ts';
import { FRAMES, HELLO_ID, PROTOCOL_VERSION } from '../frames.ts';
import { HELLO_BYTES_MOST, HELLO_SCHEMA, WATCH_SCHEMA } from '../hello.ts';

export interface ReleasedField {
  readonly name: string;
  readonly kind: string;
  readonly offset: number;
  readonly size: number;
  readonly most: number;
  readonly unit?: string;
  readonly scale?: number | string;
  readonly appended?: true;
  /** Names by place. */ readonly bits?: readonly string[];
  /** Names to numbers. */ readonly codes?: Readonly<Record<string, number>>;
}

export interface ReleasedFrame {
  readonly name: string;
  readonly id: number;
  readonly from: string;
  readonly leastBytes: number;
  readonly bytes: number;
  readonly fields: readonly ReleasedField[];
}

/** A key of Hello: its schema without the words. */
export type ReleasedKey = Readonly<Record<string, unknown>> & { readonly required: boolean };

export interface Release {
  readonly version: number;
  readonly frames: readonly ReleasedFrame[];
  readonly hello: {
    readonly id: number;
    readonly bytesMost: number;
    readonly keys: Readonly<Record<string, ReleasedKey>>;
    readonly watchKeys: Readonly<Record<string, ReleasedKey>>;
  };
  /** Ids that an earlier version used; never used again. */ readonly retired: readonly number[];
}

interface Schema {
  readonly properties: object;
  readonly required?: readonly string[];
}

/** The declarations as they are now, or those given. */
export function currentRelease(
  frames: readonly Frame[] = FRAMES,
  hello: Schema = HELLO_SCHEMA,
  retired: readonly number[] = [],
): Release {
  return {
    version: PROTOCOL_VERSION,
    frames: frames.map(frameOf),
    hello: { id: HELLO_ID, bytesMost: HELLO_BYTES_MOST, keys: keysOf(hello), watchKeys: keysOf(WATCH_SCHEMA) },
    retired,
  };
}

function frameOf({ name, id, from, leastBytes, bytes, fields }: Frame): ReleasedFrame {
  let offset = 0;
  const list = Object.entries(fields).map(([field, of]) => {
    const released = fieldOf(field, of, offset);
    offset += of.size;
    return released;
  });
  return { name, id, from, leastBytes, bytes, fields: list };
}

function fieldOf(name: string, field: Field, offset: number): ReleasedField {
  const { kind, size, most, unit, scale, appended, bits, codes } = field;
  return {
    name,
    kind,
    offset,
    size,
    most,
    ...(unit === undefined ? {} : { unit }),
    ...(scale === undefined ? {} : { scale }),
    ...(appended ? { appended } : {}),
    ...(bits ? { bits: bits.map((bit) => bit.name) } : {}),
    ...(codes ? { codes: Object.fromEntries(codes.map((code) => [code.name, code.value])) } : {}),
  };
}

/** Words are no promise, and the entries of `watch` stand under watchKeys. */
const LEFT_OUT = ['description', 'items'];

function keysOf(schema: Schema): Record<string, ReleasedKey> {
  const keys = Object.entries(schema.properties).map(([key, part]) => {
    const promised = Object.entries(part as object).filter(([name]) => !LEFT_OUT.includes(name));
    return [key, { ...Object.fromEntries(promised), required: schema.required?.includes(key) ?? false }] as const;
  });
  return Object.fromEntries(keys);
}
