/** What the schema found, said for people: which key, what was found, what is allowed. */
import { suggestion } from './nearest.ts';
import { describe } from './quantity.ts';
import { KIND_KEYWORD } from './schema.ts';
import type { Path } from './source.ts';

/** What a schema check found, in the words of JSON Schema. */
export interface SchemaError {
  /** JSON pointer to the value. */ readonly instancePath: string;
  readonly keyword: string;
  readonly params: Readonly<Record<string, unknown>>;
  /** Schema that holds the keyword. */ readonly parentSchema?: unknown;
  readonly data?: unknown;
  readonly message?: string | undefined;
}

export interface Finding {
  readonly path: Path;
  /** True when the line of the key counts, not that of its value. */ readonly atKey: boolean;
  readonly text: string;
}

const MANY: Readonly<Record<string, string>> = { checks: 'check', faults: 'fault' };

/** Names the place as a person would: "timeline entry 3, trigger". */
export function placeText(path: Path): string {
  const words: string[] = [];
  path.forEach((step, k) => {
    if (typeof step === 'number') return;
    const item = path[k + 1];
    const many = MANY[step] ?? `${step} entry`;
    words.push(typeof item === 'number' ? `${many} ${item + 1}` : step);
  });
  return words.join(', ');
}

/** Turns the errors of the schema check into findings. Quantities are left to the loader, which knows their ranges. */
export function explain(errors: readonly SchemaError[]): Finding[] {
  return errors.flatMap((error): Finding[] => {
    const path = pathOf(error.instancePath);
    const schema = (error.parentSchema ?? {}) as Record<string, unknown>;
    if (KIND_KEYWORD in schema) return [];
    const text = sentence(error, schema);
    if (error.keyword !== 'additionalProperties') return [{ path, atKey: false, text }];
    return [{ path: [...path, String(error.params.additionalProperty)], atKey: true, text }];
  });
}

function sentence(error: SchemaError, schema: Record<string, unknown>): string {
  const found = describe(error.data);
  const { params } = error;
  switch (error.keyword) {
    case 'additionalProperties': {
      const known = Object.keys((schema.properties ?? {}) as object);
      const key = String(params.additionalProperty);
      return `key ${describe(key)} is not known here; ${suggestion(key, known)}`;
    }
    case 'required': {
      const missing = String(params.missingProperty);
      const of = (schema.properties as Record<string, { description?: string }> | undefined)?.[missing];
      return `key '${missing}' is missing${of?.description ? ` (${of.description})` : ''}`;
    }
    case 'enum': {
      const allowed = (params.allowedValues as unknown[]).map(String);
      return `${found} is not known here; ${suggestion(String(error.data), allowed)}`;
    }
    case 'type':
      return `${found} does not fit; allowed is ${TYPES[String(params.type)] ?? String(params.type)}`;
    case 'minimum':
    case 'maximum':
      return `${found} is out of range; allowed is ${schema.minimum} to ${schema.maximum}`;
    case 'minLength':
    case 'maxLength':
      return `${found} has the wrong length; allowed are ${schema.minLength} to ${schema.maxLength} characters`;
    case 'minItems':
    case 'maxItems':
      return `${(error.data as unknown[]).length} entries; allowed are ${schema.minItems ?? 0} to ${schema.maxItems}`;
    case 'anyOf':
      return `${found} does not fit; allowed is a number, or text with a number and its unit`;
    case 'pattern':
      return `${found} does not fit; allowed is ${schema.description}`;
    default:
      return `${found} ${error.message ?? 'does not fit'}`;
  }
}

const TYPES: Readonly<Record<string, string>> = {
  object: 'a group of keys',
  array: 'a list',
  string: 'text',
  integer: 'a whole number',
  number: 'a number',
};

/** Decodes a JSON pointer (RFC 6901); steps of digits are places in a list. */
function pathOf(pointer: string): Path {
  if (pointer === '') return [];
  return pointer
    .slice(1)
    .split('/')
    .map((step) => (/^\d+$/.test(step) ? Number(step) : step.replaceAll('~1', '/').replaceAll('~0', '~')));
}
