/**
 * Encoder and decoder of any fixed frame, from its declaration. Neither allocates nor throws: an encoder answers with the
 * bytes written (0: no room), a decoder with a result code.
 *
 * Integers are written by shifts, so that alignment and byte order of the machine never matter. Values outside
 * an 8 or 16 bit field are clamped to its range, NaN becomes 0; a 32 bit field is a counter and wraps.
 */
import {
  clamp,
  type DecodeResult,
  putFloat,
  putFloats,
  putU16,
  putU32,
  takeFloat,
  takeFloats,
  takeU16,
  takeU32,
} from './bytes.ts';
import { type Frame, isClosed, type ValuesOf } from './dsl.ts';

export interface Codec<T extends Frame> {
  /** Writes the payload to bytes[at...] and returns its length; 0 when it does not fit, then nothing is written. */
  encode(values: ValuesOf<T>, bytes: Uint8Array, at?: number): number;
  /**
   * Reads the payload of `length` bytes at bytes[at]. Bytes behind the last field come from a newer sender and are not
   * read; an appended field that an older sender left out reads 0. On 'wrong length' the values stay as they were.
   */
  decode(bytes: Uint8Array, values: ValuesOf<T>, at?: number, length?: number): DecodeResult;
}

const toUtf8 = new TextEncoder();
const fromUtf8 = new TextDecoder('utf-8', { ignoreBOM: true }); // a mark of byte order is a character like others

export function codecOf<T extends Frame>(frame: T): Codec<T> {
  const names = Object.keys(frame.fields);
  const kinds = names.map((name) => frame.fields[name].kind);
  const sizes = names.map((name) => frame.fields[name].size);
  const appended = names.map((name) => frame.fields[name].appended === true);
  const closed = isClosed(frame);
  const listName = names.find((name) => frame.fields[name].kind === 'f32s');
  const textName = names.find((name) => frame.fields[name].kind === 'text');
  const textMost = frame.mostBytes - frame.bytes;

  function lengthOf(values: Record<string, unknown>): number {
    return listName === undefined ? frame.bytes : frame.bytes + 4 * (values[listName] as Float32Array).length;
  }

  /** A text that is too long is cut between two characters. */
  function putText(text: string, bytes: Uint8Array, at: number): number {
    return toUtf8.encodeInto(text, bytes.subarray(at, at + textMost)).written;
  }

  function encode(values: ValuesOf<T>, bytes: Uint8Array, at = 0): number {
    const from = values as unknown as Record<string, number>;
    let length = lengthOf(from);
    if (at + length > bytes.length) return 0;
    let o = at;
    for (let k = 0; k < names.length; k++) {
      switch (kinds[k]) {
        case 'u8':
          bytes[o] = clamp(from[names[k]], 0xff);
          break;
        case 'u16':
          putU16(bytes, o, clamp(from[names[k]], 0xffff));
          break;
        case 'u32':
          putU32(bytes, o, from[names[k]] >>> 0);
          break;
        case 'pad':
          bytes.fill(0, o, o + sizes[k]);
          break;
        case 'f32':
          putFloat(bytes, o, from[names[k]]);
          break;
        case 'f32s':
          putFloats(bytes, o, from[names[k]] as unknown as Float32Array);
          break;
        case 'text':
          length += putText(from[names[k]] as unknown as string, bytes, o);
      }
      o += sizes[k];
    }
    return length;
  }

  function decode(bytes: Uint8Array, values: ValuesOf<T>, at = 0, length = bytes.length - at): DecodeResult {
    const to = values as unknown as Record<string, number>;
    const least = closed ? lengthOf(to) : frame.leastBytes;
    const most = closed ? least + (textName === undefined ? 0 : textMost) : length;
    const end = at + length;
    if (length < least || length > most || end > bytes.length) return 'wrong length';
    let o = at;
    for (let k = 0; k < names.length; k++) {
      if (appended[k] && o + sizes[k] > end) {
        if (kinds[k] !== 'pad') to[names[k]] = 0;
        o += sizes[k];
        continue;
      }
      switch (kinds[k]) {
        case 'u8':
          to[names[k]] = bytes[o];
          break;
        case 'u16':
          to[names[k]] = takeU16(bytes, o);
          break;
        case 'u32':
          to[names[k]] = takeU32(bytes, o);
          break;
        case 'f32':
          to[names[k]] = takeFloat(bytes, o);
          break;
        case 'f32s':
          takeFloats(bytes, o, to[names[k]] as unknown as Float32Array);
          break;
        case 'text':
          (to as Record<string, unknown>)[names[k]] = fromUtf8.decode(bytes.subarray(o, end));
      }
      o += sizes[k];
    }
    return 'ok';
  }

  return Object.freeze({ encode, decode });
}
