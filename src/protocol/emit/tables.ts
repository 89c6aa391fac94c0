/** Writes the frame tables of DEVELOPERS.md from the declarations. Pure: text in, text out. */
import type { Frame } from '../dsl.ts';
import { FRAMES, HELLO_ID } from '../frames.ts';
import { HELLO_SCHEMA, WATCH_SCHEMA } from '../hello.ts';
import { countText, helloRows } from './words.ts';

export const TABLES_BEGIN = '<!-- frames:begin -->';
export const TABLES_END = '<!-- frames:end -->';

/** Every frame as a Markdown table. */
export function frameTables(): string {
  const hello = [
    title('Hello', HELLO_ID, 'board'),
    'What the board says about itself, a MessagePack map; refused unless every key is there and within its limits.',
    table(
      ['key', 'type', 'meaning'],
      [
        ...helloRows(HELLO_SCHEMA).map(({ key, type, note }) => [key, type, note]),
        ...helloRows(WATCH_SCHEMA).map(({ key, type, note }) => [`watch[].${key}`, type, note]),
      ],
    ),
  ];
  return [...FRAMES.flatMap(frameText), ...hello].join('\n\n');
}

/** Puts the tables between the two markers of a document; undefined when it has not exactly these markers. */
export function withTables(document: string): string | undefined {
  const begin = document.indexOf(TABLES_BEGIN);
  const end = document.indexOf(TABLES_END);
  if (begin < 0 || end < begin) return undefined;
  return `${document.slice(0, begin + TABLES_BEGIN.length)}\n\n${frameTables()}\n\n${document.slice(end)}`;
}

function frameText(frame: Frame): string[] {
  let offset = 0;
  const rows = Object.entries(frame.fields).map(([name, field]) => {
    const ending = { f32s: `f32, up to ${field.most}`, text: `text, up to ${field.most}` } as Record<string, string>;
    const type = field.kind === 'pad' ? `${field.size} bytes` : (ending[field.kind] ?? field.kind);
    const bits = (field.bits ?? []).map((bit, k) => `bit ${k} ${bit.name}: ${bit.doc}`);
    const codes = (field.codes ?? []).map((code) => `${code.value} ${code.name}: ${code.doc}`);
    const row = [String(offset), name, type, countText(field), [field.doc, ...bits, ...codes].join('; ')];
    offset += field.size;
    return row;
  });
  return [
    title(frame.name, frame.id, frame.from),
    frame.doc,
    table(['byte', 'field', 'type', 'one count', 'meaning'], rows),
  ];
}

function title(name: string, id: number, from: string): string {
  return `**${name}**, id 0x${id.toString(16).padStart(2, '0')}, ${from === 'either' ? 'sent by either side' : `sent by the ${from}`}`;
}

function table(head: string[], rows: string[][]): string {
  const line = (cells: string[]) => `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}
