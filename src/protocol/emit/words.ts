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
  if (field.scale === 'SI' || field.scale === undefined) return `[${field.unit}]`;
  if (typeof field.scale === 'number') return `1 count = ${factorText(field.scale)} ${field.unit}`;
  return `[${field.unit}] ${field.scale}`;
}

/** A factor as people write it: 1e-8, 1/32768, 2 pi/65536. */
function factorText(factor: number): string {
  const parts = 1 / factor;
  const turns = (2 * Math.PI) / factor;
  if (Number.isInteger(parts) && !Number.isInteger(Math.log10(parts))) return `1/${parts}`;
  return Number.isInteger(turns) ? `2 pi/${turns}` : String(factor);
}

/** Lines of at most `most` characters; a word that is longer stands alone. */
export function wrapText(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(/\s+/)) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Meaning of a field, and on a second line its unit and scale. */
export function fieldNote(field: Field): string {
  const count = countText(field);
  return `${sentence(field.doc)}${count === '' ? '' : `\n${count}`}`;
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

const LIMITS: Readonly<Record<string, (limit: unknown) => string>> = {
  minimum: (limit) => `at least ${limit}`,
  exclusiveMinimum: (limit) => `above ${limit}`,
  maximum: (limit) => `at most ${limit}`,
  maxLength: (limit) => `at most ${limit} characters`,
  maxItems: (limit) => `at most ${limit} entries`,
};

/** Keys of a Hello schema with type, meaning and limits. */
export function helloRows(schema: { properties: object; required?: unknown }): HelloRow[] {
  return Object.entries(schema.properties as Record<string, SchemaPart>).map(([key, part]) => {
    const limits = Object.keys(LIMITS).filter((limit) => part[limit] !== undefined);
    const words = limits.map((limit) => LIMITS[limit](part[limit]));
    if (part.enum) words.push(`one of ${part.enum.join(', ')}`);
    const required = (schema.required as readonly string[]).includes(key);
    const unit = part.unit ? `[${part.unit}] ` : '';
    const note = `${unit}${[`${part.description}${required ? '' : ' (optional)'}`, ...words].join('; ')}`;
    return { key, type: part.enum ? 'string' : (part.type ?? ''), note };
  });
}

export function sentence(text: string): string {
  return `${text[0].toUpperCase()}${text.slice(1)}.`;
}
