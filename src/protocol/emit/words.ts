/** How names and notes of the declarations read in C and in the documents. */
import type { Field, Frame } from '../dsl.ts';

/** dutyA to duty_a. */
export function snake(name: string): string {
  return name.replace(/([a-z])([A-Z])/g, '$1_$2').toLowerCase();
}

/** linkPerCount_V to LINK_PER_COUNT_V. */
export function constantName(name: string): string {
  return snake(name).toUpperCase();
}

export function typeName(frame: Frame): string {
  return `phantom_${snake(frame.name)}`;
}

/** What one count of a field is worth, e.g. "1 count = 1e-8 s"; empty for plain numbers. */
export function countText(field: Field): string {
  if (field.unit === undefined) return '';
  if (field.scale === 'SI') return `[${field.unit}]`;
  if (typeof field.scale === 'number') return `1 count = ${field.scale} ${field.unit}`;
  return `[${field.unit}] ${field.scale}`;
}

/** Meaning of a field with its unit and scale, one sentence each. */
export function fieldNote(field: Field): string {
  const count = countText(field);
  return `${sentence(field.doc)}${count === '' ? '' : ` ${count}`}`;
}

export interface HelloRow {
  readonly key: string;
  readonly type: string;
  readonly note: string;
}

/** The parts of a schema that documents need. */
interface SchemaPart {
  readonly type?: string;
  readonly enum?: readonly unknown[];
  readonly description?: string;
  readonly unit?: string;
  readonly [limit: string]: unknown;
}

const LIMITS: Readonly<Record<string, string>> = {
  minimum: 'at least',
  exclusiveMinimum: 'above',
  maximum: 'at most',
  maxLength: 'characters at most',
  maxItems: 'entries at most',
};

/** Keys of a Hello schema with type, meaning and limits. */
export function helloRows(schema: { properties: object; required?: unknown }): HelloRow[] {
  return Object.entries(schema.properties as Record<string, SchemaPart>).map(([key, part]) => {
    const limits = Object.keys(LIMITS).filter((limit) => part[limit] !== undefined);
    const words = limits.map((limit) => `${LIMITS[limit]} ${part[limit]}`);
    if (part.enum) words.push(`one of ${part.enum.join(', ')}`);
    const unit = part.unit ? `[${part.unit}] ` : '';
    const optional = (schema.required as readonly string[]).includes(key) ? '' : ' (may be left out)';
    const note = `${unit}${[`${part.description}${optional}`, ...words].join('; ')}`;
    return { key, type: part.enum ? 'string' : (part.type ?? ''), note };
  });
}

function sentence(text: string): string {
  return `${text[0].toUpperCase()}${text.slice(1)}.`;
}
