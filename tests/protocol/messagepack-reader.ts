/**
 * MessagePack read by the letter of its specification (github.com/msgpack/msgpack, spec.md: the table of formats), without
 * the library that the bench uses. Keeps the format byte of everything it meets.
 */
export interface Read {
  readonly value: unknown;
  /** First byte of every item in order; those with a length or value inside are given as their family, e.g. 0x80. */
  readonly formats: readonly number[];
}

/** Reads one item that takes all bytes. Throws Error naming the place when it does not follow the format. */
export function readMessagePack(bytes: Uint8Array): Read {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const formats: number[] = [];
  let at = 0;

  /** A big-endian number of `size` bytes at the place; the place moves on. */
  function number(read: (o: number) => number | bigint, size: number): number {
    const value = Number(read.call(view, at));
    at += size;
    return value;
  }
  const u8 = () => number(view.getUint8, 1);
  const u16 = () => number(view.getUint16, 2);
  const u32 = () => number(view.getUint32, 4);
  function text(length: number): string {
    at += length;
    if (at > bytes.length) throw new Error(`text ends behind the last byte, at ${at}`);
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes.subarray(at - length, at));
  }
  const list = (length: number): unknown[] => Array.from({ length }, item);
  const map = (length: number) => Object.fromEntries(Array.from({ length }, () => [String(item()), item()]));

  const FORMATS: Readonly<Record<number, () => unknown>> = {
    192: () => null,
    194: () => false,
    195: () => true,
    202: () => number(view.getFloat32, 4),
    203: () => number(view.getFloat64, 8),
    204: u8,
    205: u16,
    206: u32,
    207: () => number(view.getBigUint64, 8),
    208: () => number(view.getInt8, 1),
    209: () => number(view.getInt16, 2),
    210: () => number(view.getInt32, 4),
    211: () => number(view.getBigInt64, 8),
    217: () => text(u8()),
    218: () => text(u16()),
    219: () => text(u32()),
    220: () => list(u16()),
    221: () => list(u32()),
    222: () => map(u16()),
    223: () => map(u32()),
  };

  function item(): unknown {
    const place = at;
    const format = u8();
    const [family, read] = familyOf(format);
    formats.push(family);
    if (!read) throw new Error(`no such format at ${place}: ${format}`);
    return read();
  }

  function familyOf(format: number): [number, (() => unknown) | undefined] {
    if (format < 0x80) return [0, () => format]; // positive fixint
    if (format < 0x90) return [0x80, () => map(format & 15)];
    if (format < 0xa0) return [0x90, () => list(format & 15)];
    if (format < 0xc0) return [0xa0, () => text(format & 31)];
    if (format >= 0xe0) return [0xe0, () => format - 256]; // negative fixint
    return [format, FORMATS[format]];
  }

  const value = item();
  if (at !== bytes.length) throw new Error(`${bytes.length - at} bytes are left behind the item`);
  return { value, formats };
}
