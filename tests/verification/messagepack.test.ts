/**
 * Hello as MessagePack.
 *
 * Source  github.com/msgpack/msgpack, spec.md, table of formats: nil c0, false c2, true c3, float 32 ca, float 64 cb,
 *         uint 8 to 64 cc to cf, int 8 to 64 d0 to d3, str 8 d9, array 16 dc, map 16 de, all big-endian; map example of
 *         the front page of msgpack.org. The layout of the fix formats is from memory.
 */
import { decode } from '@msgpack/msgpack';
import { describe, expect, it } from 'vitest';
import { decodeHello, encodeHello, type Hello } from '../../src/protocol/hello.ts';
import { readMessagePack } from '../protocol/messagepack-reader.ts';
import { HELLO_SAMPLE } from '../protocol/samples.ts';
import { hex, unhex } from '../support/hex.ts';

const ITEMS: readonly (readonly [string, unknown])[] = [
  ['c0', null],
  ['c2', false],
  ['c3', true],
  ['ca 3f c0 00 00', 1.5],
  ['cb 3f f8 00 00 00 00 00 00', 1.5],
  ['7f', 127],
  ['cc ff', 255],
  ['cd 01 00', 256],
  ['ce 00 01 00 00', 65_536],
  ['cf 00 00 00 01 00 00 00 00', 2 ** 32],
  ['ff', -1],
  ['d0 80', -128],
  ['d1 80 00', -32_768],
  ['d2 80 00 00 00', -(2 ** 31)],
  ['d3 ff ff ff ff 00 00 00 00', -(2 ** 32)],
  ['a2 c2 b0', '°'],
  ['d9 02 c2 b0', '°'],
  ['92 01 02', [1, 2]],
  ['dc 00 02 01 02', [1, 2]],
  ['81 a1 61 01', { a: 1 }],
  ['de 00 01 a1 61 01', { a: 1 }],
  ['82 a7 63 6f 6d 70 61 63 74 c3 a6 73 63 68 65 6d 61 00', { compact: true, schema: 0 }],
];

/** Bytes of a number in one of the formats. */
type NumberFormat = (value: number) => number[];
function big(format: number, size: number, put: (view: DataView) => void): number[] {
  const view = new DataView(new ArrayBuffer(size));
  put(view);
  return [format, ...new Uint8Array(view.buffer)];
}
const FORMATS: Readonly<Record<string, NumberFormat>> = {
  'float 64': (value) => big(0xcb, 8, (view) => view.setFloat64(0, value)),
  'float 32': (value) => big(0xca, 4, (view) => view.setFloat32(0, value)),
  'uint 32': (value) => big(0xce, 4, (view) => view.setUint32(0, value)),
  'uint 64': (value) => big(0xcf, 8, (view) => view.setBigUint64(0, BigInt(value))),
  'int 32': (value) => big(0xd2, 4, (view) => view.setInt32(0, value)),
};

/** A Hello of whole numbers as a board may write it: long formats where short ones would do, or the other way round. */
function written(hello: Hello, number: NumberFormat, long: boolean): Uint8Array {
  const text = (value: string) => {
    const bytes = [...new TextEncoder().encode(value)];
    return long || bytes.length > 31 ? [0xd9, bytes.length, ...bytes] : [0xa0 + bytes.length, ...bytes];
  };
  const item = (value: unknown): number[] => {
    if (typeof value === 'string') return text(value);
    if (typeof value === 'number') return number(value);
    if (typeof value === 'boolean') return [value ? 0xc3 : 0xc2];
    if (Array.isArray(value)) {
      return [...(long ? [0xdc, 0, value.length] : [0x90 + value.length]), ...value.flatMap(item)];
    }
    const entries = Object.entries(value as object);
    const head = long || entries.length > 15 ? [0xde, 0, entries.length] : [0x80 + entries.length];
    return [...head, ...entries.flatMap(([key, each]) => [...text(key), ...item(each)])];
  };
  return Uint8Array.from(item(hello));
}

describe('MessagePack', () => {
  it.each(ITEMS)('%s is read as the format says, by the library and by the letter', (bytes, value) => {
    expect(decode(unhex(bytes))).toEqual(value);
    expect(readMessagePack(unhex(bytes)).value).toEqual(value);
  });

  it('of a Hello can be read by the letter of the format', () => {
    const { value, formats } = readMessagePack(encodeHello(HELLO_SAMPLE));
    expect(value).toEqual(HELLO_SAMPLE);
    expect(formats[0]).toBe(0xde); // 16 keys are one too many for a fixmap
  });

  it('of a Hello begins with these bytes', () => {
    // map 16 with 16 = 0x10 keys, fixstr "version", 3, fixstr "board", fixstr of 14 letters
    const start = 'de 00 10 a7 76 65 72 73 69 6f 6e 03 a5 62 6f 61 72 64 ae';
    expect(hex(encodeHello(HELLO_SAMPLE).subarray(0, 19))).toBe(start);
  });

  const whole: Hello = { ...HELLO_SAMPLE, currentPerCount_A: 1, linkPerCount_V: 2 };
  for (const [name, number] of Object.entries(FORMATS)) {
    it.each([true, false])(`of a Hello may write every number as ${name}, and lists in long formats or not`, (long) => {
      const bytes = written(whole, number, long);
      expect(readMessagePack(bytes).value).toEqual(whole);
      expect(decodeHello(bytes)).toEqual({ hello: whole });
    });
  }
});
