/** Random bytes for every decoder, and random MessagePack for Hello. None may throw, whatever comes. */
import { encode } from '@msgpack/msgpack';
import { takenOf } from '../../src/protocol/accepted.ts';
import { codecOf } from '../../src/protocol/codec-of.ts';
import { isClosed } from '../../src/protocol/dsl.ts';
import { FRAMES } from '../../src/protocol/frames.ts';
import { decodeHello, encodeHello, HELLO_BYTES_MOST, type Hello } from '../../src/protocol/hello.ts';
import { seededInt } from '../support/seeded.ts';
import { HELLO_SAMPLE } from './samples.ts';
import { blankOf, type PlainValues } from './vectors.ts';

export interface DecoderFigures {
  tried: number;
  /** Taken as good. */ good: number;
  /** What does not hold; a handful at most. */ complaints: string[];
}

type Draw = (below: number) => number;
const COMPLAINTS_MOST = 5;

/** Random bytes at random places of a buffer to every decoder of a fixed frame. */
export function fuzzDecoders(tries: number, seed: number): DecoderFigures {
  const draw = seededInt(seed);
  const figures: DecoderFigures = { tried: 0, good: 0, complaints: [] };
  const codecs = FRAMES.map((frame) => ({ frame, codec: codecOf(frame) }));
  const bytes = new Uint8Array(300);
  for (let k = 0; k < tries; k++) {
    const { frame, codec } = codecs[k % codecs.length];
    for (let j = 0; j < 8; j++) bytes[draw(bytes.length)] = draw(256);
    const items = draw(4);
    const fields = Object.entries(frame.fields).filter(([, field]) => field.kind !== 'pad');
    const blank: PlainValues = Object.fromEntries(
      fields.map(([name, { kind }]) => [name, kind === 'f32s' ? Array(items).fill(0) : kind === 'text' ? '' : 0]),
    );
    const values = blankOf(frame, blank);
    const before = JSON.stringify(values);
    const at = draw(bytes.length + 10);
    const length = draw(2) === 0 ? frame.bytes + 4 * draw(4) : draw(bytes.length);
    figures.tried++;
    try {
      const result = codec.decode(bytes, values, at, length);
      const { least, most } = takenOf(frame);
      const list = fields.some(([, field]) => field.kind === 'f32s');
      const fits = list ? length === frame.bytes + 4 * items : length >= least && (!isClosed(frame) || length <= most);
      if (result === 'ok') figures.good++;
      if ((result === 'ok') !== (fits && at + length <= bytes.length))
        complain(figures, `${frame.name} of ${length}: ${result}`);
      if (result !== 'ok' && JSON.stringify(values) !== before) complain(figures, `${frame.name}: values changed`);
    } catch (error) {
      complain(figures, `${frame.name} of ${length} at ${at} threw ${error}`);
    }
  }
  return figures;
}

/** A Hello made by chance, one that was damaged, and bytes that claim what they do not hold. */
export function fuzzHello(tries: number, seed: number): DecoderFigures {
  const draw = seededInt(seed);
  const figures: DecoderFigures = { tried: 0, good: 0, complaints: [] };
  const makers = [noise, damaged, altered, claims, nested, chance];
  for (let k = 0; k < tries; k++) {
    const maker = makers[k % makers.length];
    const bytes = maker(draw);
    figures.tried++;
    try {
      const result = decodeHello(bytes);
      if ('hello' in result) {
        figures.good++;
        const again = decodeHello(encodeHello(result.hello)); // what was taken can be said again
        if (!('hello' in again)) complain(figures, `${maker.name}: a good Hello does not come back`);
      } else if (!/^[^\p{Cc}]{5,400}$/u.test(result.detail)) {
        complain(figures, `${maker.name}: not fit to be shown: ${JSON.stringify(result.detail)}`);
      }
    } catch (error) {
      complain(figures, `${maker.name} threw ${error}`);
    }
  }
  return figures;
}

function complain({ complaints }: DecoderFigures, what: string): void {
  if (complaints.length < COMPLAINTS_MOST) complaints.push(what);
}

function noise(draw: Draw): Uint8Array {
  return Uint8Array.from({ length: draw(60) }, () => draw(256));
}

const good = encodeHello(HELLO_SAMPLE);

function damaged(draw: Draw): Uint8Array {
  const bytes = good.slice(0, draw(4) === 0 ? draw(good.length) : good.length);
  for (let k = 1 + draw(3); k > 0 && bytes.length > 0; k--) bytes[draw(bytes.length)] = draw(256);
  return bytes;
}

/** A good map with some entries of another kind. */
function altered(draw: Draw): Uint8Array {
  const hello: Record<string, unknown> = { ...HELLO_SAMPLE };
  const keys = Object.keys(hello) as (keyof Hello)[];
  for (let k = draw(3); k > 0; k--) hello[draw(4) === 0 ? key(draw) : keys[draw(keys.length)]] = value(draw, 3);
  return encode(hello);
}

/** Heads of maps, lists, texts and binaries that announce far more than there is. */
function claims(draw: Draw): Uint8Array {
  const head = [0xdf, 0xdd, 0xdb, 0xc6, 0xc9, 0xde, 0xdc, 0xda, 0xc5, 0xc8, 0xd9, 0xc4, 0xc7][draw(13)];
  const start = draw(2) === 0 ? [] : [0xde, 0x00, 0x10];
  return Uint8Array.from([
    ...start,
    head,
    ...Array.from({ length: 4 + draw(20) }, () => (draw(2) === 0 ? 0xff : draw(256))),
  ]);
}

/** Maps in lists in maps, as deep as the length allows. */
function nested(draw: Draw): Uint8Array {
  const deep: number[] = [];
  const room = draw(HELLO_BYTES_MOST + 8);
  while (deep.length < room) deep.push(...(draw(2) === 0 ? [0x91] : [0x81, 0xa1, 0x61]));
  return Uint8Array.from([...deep, 0xc0]);
}

function chance(draw: Draw): Uint8Array {
  return encode(value(draw, 5));
}

function key(draw: Draw): string {
  return ['version', 'watch', 'constructor', 'toString', 'a\u001b[31mb\n', '\u202eabc', 'k'.repeat(300)][draw(7)];
}

function value(draw: Draw, depth: number): unknown {
  const kind = draw(depth > 0 ? 12 : 9);
  if (kind === 0) return null;
  if (kind === 1) return draw(2) === 0;
  if (kind === 2) return draw(2 ** 32) - 2 ** 31;
  if (kind === 3) return [Number.NaN, Number.POSITIVE_INFINITY, -0, 1e308, 5e-324][draw(5)];
  if (kind === 4) return draw(1000) / 7;
  if (kind === 5) return key(draw);
  if (kind === 6) return String.fromCodePoint(draw(0xd000)).repeat(draw(90));
  if (kind === 7) return Uint8Array.from({ length: draw(9) }, () => draw(256));
  if (kind === 8) return draw(2 ** 30) * 2 ** 23;
  if (kind === 9) return Array.from({ length: draw(40) }, () => value(draw, depth - 2));
  return Object.fromEntries(
    Array.from({ length: draw(12) }, (_, k) => [draw(3) === 0 ? key(draw) : `k${k}`, value(draw, depth - 1)]),
  );
}
