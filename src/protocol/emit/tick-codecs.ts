/**
 * Writes src/protocol/tick-codecs.ts: the frames of every tick, field by field in straight lines. They do what codecOf does
 * with the same declaration, without looking a field up by its name: an exchange spends a third of its own time on that.
 * Pure: text out.
 */
import { endsFrame, type Field, type Frame, isClosed } from '../dsl.ts';
import { DRIVE, SENSE } from '../frames.ts';

/** Frames that travel every tick. */
export const TICK_FRAMES: readonly Frame[] = [SENSE, DRIVE];

const HEAD = `/**
 * The frames of every tick, field by field. Made from src/protocol by "npm run protocol"; do not edit, it is compared in
 * every test run, and with codecOf on random values. What it does, codec-of.ts says.
 */`;

export function tickCodecs(frames: readonly Frame[] = TICK_FRAMES): string {
  const bodies = frames.flatMap((frame) => ['', ...encoder(frame), '', ...decoder(frame)]);
  const used = [
    'clamp',
    'putFloat',
    'putFloats',
    'putU16',
    'putU32',
    'takeFloat',
    'takeFloats',
    'takeU16',
    'takeU32',
  ].filter((name) => bodies.some((line) => line.includes(`${name}(`)));
  const names = frames.map(({ name }) => name);
  return [
    HEAD,
    `import { ${['clamp', 'type DecodeResult', ...used.slice(1)].join(', ')} } from './bytes.ts';`,
    `import type { ${[...names].sort().join(', ')} } from './frames.ts';`,
    ...bodies,
    '',
  ].join('\n');
}

function encoder(frame: Frame): string[] {
  const last = Object.entries(frame.fields).find(([, field]) => endsFrame(field))?.[0];
  const length = last === undefined ? String(frame.bytes) : `${frame.bytes} + 4 * from.${last}.length`;
  return [
    `export function encode${frame.name}(from: ${frame.name}, bytes: Uint8Array, at = 0): number {`,
    `  const length = ${length};`,
    '  if (at + length > bytes.length) return 0;',
    ...lines(frame, (name, field, o) => put(`from.${name}`, field, `at + ${o}`)),
    '  return length;',
    '}',
  ];
}

function decoder(frame: Frame): string[] {
  const list = Object.entries(frame.fields).find(([, field]) => endsFrame(field))?.[0];
  const wrong = isClosed(frame) ? `length !== ${frame.bytes} + 4 * to.${list}.length` : `length < ${frame.leastBytes}`;
  return [
    `export function decode${frame.name}(bytes: Uint8Array, to: ${frame.name}, at = 0, length = bytes.length - at): DecodeResult {`,
    `  if (${wrong} || at + length > bytes.length) return 'wrong length';`,
    ...lines(frame, (name, field, o) => take(`to.${name}`, field, `at + ${o}`, o)),
    "  return 'ok';",
    '}',
  ];
}

function lines(frame: Frame, of: (name: string, field: Field, o: number) => string): string[] {
  let o = 0;
  return Object.entries(frame.fields)
    .map(([name, field]) => {
      const line = `  ${of(name, field, o)}`;
      o += field.size;
      return line;
    })
    .filter((line) => line.trim() !== '');
}

function put(from: string, { kind, size }: Field, o: string): string {
  switch (kind) {
    case 'u8':
      return `bytes[${o}] = clamp(${from}, 0xff);`;
    case 'u16':
      return `putU16(bytes, ${o}, clamp(${from}, 0xffff));`;
    case 'u32':
      return `putU32(bytes, ${o}, ${from} >>> 0);`;
    case 'f32':
      return `putFloat(bytes, ${o}, ${from});`;
    case 'f32s':
      return `putFloats(bytes, ${o}, ${from});`;
    case 'pad':
      return size === 1 ? `bytes[${o}] = 0;` : `bytes.fill(0, ${o}, ${o} + ${size});`;
    default:
      throw new RangeError(`a frame of every tick has no ${kind}`);
  }
}

function take(to: string, { kind, size, appended }: Field, o: string, place: number): string {
  if (kind === 'pad') return '';
  if (kind === 'f32s') return `takeFloats(bytes, ${o}, ${to});`;
  const read: Partial<Record<Field['kind'], string>> = {
    u8: `bytes[${o}]`,
    u16: `takeU16(bytes, ${o})`,
    u32: `takeU32(bytes, ${o})`,
    f32: `takeFloat(bytes, ${o})`,
  };
  const value = read[kind];
  if (value === undefined) throw new RangeError(`a frame of every tick has no ${kind}`);
  // What an older sender left out reads 0.
  return appended ? `${to} = length < ${place + size} ? 0 : ${value};` : `${to} = ${value};`;
}
