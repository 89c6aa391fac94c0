/**
 * Holds content against a schema of this program. It only reads the schema, so that a page that forbids code made from text
 * runs it too; it finds hundreds of errors, not the first few, in the words of JSON Schema that explain.ts turns into sentences.
 *
 * It knows the keywords that schemas here use and throws RangeError on any other: a keyword that is passed over would be
 * a limit that nobody holds. Formats, patterns of quantities and conditions are left to the loaders.
 */
import type { SchemaError } from './explain.ts';

type Schema = Readonly<Record<string, unknown>>;

const TYPES: Readonly<Record<string, (value: unknown) => boolean>> = {
  object: (value) => typeof value === 'object' && value !== null && !Array.isArray(value),
  array: Array.isArray,
  string: (value) => typeof value === 'string',
  boolean: (value) => typeof value === 'boolean',
  number: (value) => typeof value === 'number' && Number.isFinite(value),
  integer: (value) => Number.isInteger(value),
};

/** Keywords that say nothing about the value, or that the loader says in better words. */
const SILENT = ['$schema', 'title', 'description', 'x-quantity', 'default', 'allOf'];

/** No person reads more, and a hostile text has ten thousand. */
const FOUND_MOST = 300;

/** In what the content departs from the schema, up to FOUND_MOST of it. */
export function departures(schema: Schema, content: unknown): SchemaError[] {
  const found: SchemaError[] = [];
  visit(schema, content, '', found);
  return found;
}

function visit(schema: Schema, data: unknown, instancePath: string, found: SchemaError[]): void {
  if (found.length >= FOUND_MOST) return;
  const say = (keyword: string, params: Record<string, unknown> = {}) => {
    if (found.length < FOUND_MOST) found.push({ instancePath, keyword, params, parentSchema: schema, data });
  };
  if (Array.isArray(schema.anyOf)) {
    const fits = (schema.anyOf as Schema[]).some((each) => departures(each, data).length === 0);
    if (!fits) say('anyOf');
    return;
  }
  const { type } = schema;
  if (typeof type === 'string' && !TYPES[type](data)) {
    say('type', { type });
    return;
  }
  for (const [keyword, limit] of Object.entries(schema)) {
    if (keyword === 'type' || SILENT.includes(keyword)) continue;
    const rule = RULES[keyword];
    if (!rule)
      throw new RangeError(`schema keyword '${keyword}' is not known; known are ${Object.keys(RULES).join(', ')}`);
    rule({ schema, data, limit, instancePath, found, say });
  }
}

interface Visit {
  readonly schema: Schema;
  readonly data: unknown;
  readonly limit: unknown;
  readonly instancePath: string;
  readonly found: SchemaError[];
  readonly say: (keyword: string, params?: Record<string, unknown>) => void;
}

const RULES: Readonly<Record<string, (visit: Visit) => void>> = {
  enum: ({ data, limit, say }) => {
    if (!(limit as unknown[]).includes(data)) say('enum', { allowedValues: limit });
  },
  pattern: ({ schema, data, limit, say }) => {
    if (!('x-quantity' in schema) && !new RegExp(String(limit), 'u').test(String(data)))
      say('pattern', { pattern: limit });
  },
  minimum: ({ data, limit, say }) => {
    if (Number(data) < Number(limit)) say('minimum');
  },
  maximum: ({ data, limit, say }) => {
    if (Number(data) > Number(limit)) say('maximum');
  },
  minLength: ({ data, limit, say }) => {
    if ([...String(data)].length < Number(limit)) say('minLength');
  },
  maxLength: ({ data, limit, say }) => {
    if ([...String(data)].length > Number(limit)) say('maxLength');
  },
  minItems: ({ data, limit, say }) => {
    if ((data as unknown[]).length < Number(limit)) say('minItems');
  },
  maxItems: ({ data, limit, say }) => {
    if ((data as unknown[]).length > Number(limit)) say('maxItems');
  },
  items: ({ data, limit, instancePath, found }) => {
    (data as unknown[]).forEach((item, k) => {
      visit(limit as Schema, item, `${instancePath}/${k}`, found);
    });
  },
  properties: ({ data, limit, instancePath, found }) => {
    for (const [key, schema] of Object.entries(limit as Record<string, Schema>)) {
      if (Object.hasOwn(data as object, key)) {
        visit(schema, (data as Record<string, unknown>)[key], `${instancePath}/${escapeStep(key)}`, found);
      }
    }
  },
  required: ({ data, limit, say }) => {
    for (const missingProperty of limit as string[]) {
      if (!Object.hasOwn(data as object, missingProperty)) say('required', { missingProperty });
    }
  },
  additionalProperties: ({ schema, data, limit, instancePath, found, say }) => {
    const known = (schema.properties ?? {}) as object;
    for (const [key, value] of Object.entries(data as object)) {
      if (Object.hasOwn(known, key)) continue;
      if (limit === false) say('additionalProperties', { additionalProperty: key });
      else visit(limit as Schema, value, `${instancePath}/${escapeStep(key)}`, found);
    }
  },
};

/** A step of a JSON pointer (RFC 6901). */
const escapeStep = (key: string): string => key.replaceAll('~', '~0').replaceAll('/', '~1');
