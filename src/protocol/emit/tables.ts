/** Tables of the reference page: every frame, and Hello. Pure: text out. */
import type { Field, Frame } from '../dsl.ts';
import { HELLO_ID } from '../frames.ts';
import { HELLO_SCHEMA, WATCH_SCHEMA } from '../hello.ts';
import { countText, helloRows } from './words.ts';

/** One frame: its heading, what it is for, its fields. */
export function frameTable(frame: Frame): string {
  let offset = 0;
  const rows = Object.entries(frame.fields).flatMap(([name, field]) => {
    const own = [String(offset), name, typeText(field), countText(field), meaning(field)];
    offset += field.size;
    const bits = (field.bits ?? []).map((bit, k) => ['', `bit ${k}`, '', '', `${bit.name}: ${bit.doc}`]);
    const codes = (field.codes ?? []).map((code) => ['', `= ${code.value}`, '', '', `${code.name}: ${code.doc}`]);
    return [own, ...bits, ...codes];
  });
  return [
    title(frame.name, frame.id, frame.from),
    `${frame.doc} ${sizeText(frame)}`,
    table(['byte', 'field', 'type', 'one count', 'meaning'], rows),
  ].join('\n\n');
}

/** Hello: its heading and its keys. */
export function helloTable(): string {
  return [
    title('Hello', HELLO_ID, 'board'),
    'What the board says about itself, a MessagePack map. It is refused unless every key that is not optional is there, every value is within its limits and no other key is.',
    table(
      ['key', 'type', 'meaning'],
      [
        ...helloRows(HELLO_SCHEMA).map(({ key, type, note }) => [key, type, note]),
        ...helloRows(WATCH_SCHEMA).map(({ key, type, note }) => [`watch[].${key}`, type, note]),
      ],
    ),
  ].join('\n\n');
}

export function table(head: string[], rows: string[][]): string {
  const line = (cells: string[]) => `| ${cells.map((cell) => cell.replaceAll('|', '\\|')).join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

export function idText(id: number): string {
  return `0x${id.toString(16).padStart(2, '0')}`;
}

export function senderText(from: Frame['from']): string {
  return { host: 'drill', board: 'board', either: 'either side' }[from];
}

function title(name: string, id: number, from: Frame['from']): string {
  return `### ${name}\n\nId ${idText(id)}, sent by ${from === 'either' ? '' : 'the '}${senderText(from)}.`;
}

function typeText(field: Field): string {
  if (field.kind === 'pad') return `${field.size} ${field.size === 1 ? 'byte' : 'bytes'}`;
  if (field.kind === 'f32s') return `f32, up to ${field.most}`;
  return field.kind === 'text' ? `text, up to ${field.most} bytes` : field.kind;
}

function meaning(field: Field): string {
  return field.appended ? `${field.doc}; appended, 0 when an older sender left it out` : field.doc;
}

function sizeText({ bytes, mostBytes }: Frame): string {
  return bytes === mostBytes ? `Payload ${bytes} bytes.` : `Payload ${bytes} to ${mostBytes} bytes.`;
}
