/**
 * Encoder and decoder of the fixed frames, derived from their declarations. Neither allocates nor throws:
 * an encoder answers with the bytes written (0: no room), a decoder with a result code.
 *
 * Integers are written by shifts, so that alignment and byte order of the machine never matter. Values outside
 * an 8 or 16 bit field are clamped to its range, NaN becomes 0; a 32 bit field is a counter and wraps.
 */
import { type Frame, isClosed, type ValuesOf } from './dsl.ts';
import {
  BEAT,
  BYE,
  DRIVE,
  type Drive,
  GREET,
  NOTE,
  POWER,
  REFUSE,
  REPORT,
  type Report,
  SCENE,
  type Scene,
  SENSE,
  type Sense,
  WELCOME,
} from './frames.ts';

export type DecodeResult = 'ok' | 'wrong length';

export interface Codec<T extends Frame> {
  /** Writes the payload to bytes[at...] and returns its length; 0 when it does not fit, then nothing is written. */
  encode(values: ValuesOf<T>, bytes: Uint8Array, at?: number): number;
  /**
   * Reads the payload of `length` bytes at bytes[at]. Bytes behind the last field come from a newer sender and are not
   * read; an appended field that an older sender left out reads 0. On 'wrong length' the values stay as they were.
   */
  decode(bytes: Uint8Array, values: ValuesOf<T>, at?: number, length?: number): DecodeResult;
}

/** Moves one float32 to and from bytes; little-endian whatever the machine is. */
const scratch = new DataView(new ArrayBuffer(4));
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
          to[names[k]] = bytes[o] | (bytes[o + 1] << 8);
          break;
        case 'u32':
          to[names[k]] = (bytes[o] | (bytes[o + 1] << 8) | (bytes[o + 2] << 16) | (bytes[o + 3] << 24)) >>> 0;
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

function clamp(value: number, most: number): number {
  if (value >= most) return most;
  return value > 0 ? Math.trunc(value) : 0; // NaN is not above 0
}

function putU16(bytes: Uint8Array, o: number, value: number): void {
  bytes[o] = value;
  bytes[o + 1] = value >>> 8;
}

function putU32(bytes: Uint8Array, o: number, value: number): void {
  putU16(bytes, o, value);
  putU16(bytes, o + 2, value >>> 16);
}

function putFloat(bytes: Uint8Array, o: number, value: number): void {
  scratch.setFloat32(0, value, true);
  for (let j = 0; j < 4; j++) bytes[o + j] = scratch.getUint8(j);
}

function takeFloat(bytes: Uint8Array, o: number): number {
  for (let j = 0; j < 4; j++) scratch.setUint8(j, bytes[o + j]);
  return scratch.getFloat32(0, true);
}

function putFloats(bytes: Uint8Array, at: number, list: Float32Array): void {
  for (let k = 0, o = at; k < list.length; k++, o += 4) putFloat(bytes, o, list[k]);
}

function takeFloats(bytes: Uint8Array, at: number, list: Float32Array): void {
  for (let k = 0, o = at; k < list.length; k++, o += 4) list[k] = takeFloat(bytes, o);
}

export const { encode: encodeSense, decode: decodeSense } = codecOf(SENSE);
export const { encode: encodeDrive, decode: decodeDrive } = codecOf(DRIVE);
export const { encode: encodeGreet, decode: decodeGreet } = codecOf(GREET);
export const { encode: encodeWelcome, decode: decodeWelcome } = codecOf(WELCOME);
export const { encode: encodeRefuse, decode: decodeRefuse } = codecOf(REFUSE);
export const { encode: encodePower, decode: decodePower } = codecOf(POWER);
export const { encode: encodeNote, decode: decodeNote } = codecOf(NOTE);
export const { encode: encodeBeat, decode: decodeBeat } = codecOf(BEAT);
export const { encode: encodeBye, decode: decodeBye } = codecOf(BYE);
export const { encode: encodeScene, decode: decodeScene } = codecOf(SCENE);
export const { encode: encodeReport, decode: decodeReport } = codecOf(REPORT);

/** A Sense with every field 0. */
export function blankSense(): Sense {
  return {
    tick: 0,
    flags: 0,
    ia: 0,
    ib: 0,
    ic: 0,
    link: 0,
    trigger: 0,
    hallAge: 0,
    heatBridge: 0,
    heatMotor: 0,
    phaseA: 0,
    phaseB: 0,
    phaseC: 0,
    gyro: 0,
    accel: 0,
  };
}

/** A Drive with every field 0, gates off, and room for `watchCount` watch values (0 to 32). */
export function blankDrive(watchCount: number): Drive {
  if (!Number.isInteger(watchCount) || watchCount < 0 || watchCount > DRIVE.fields.watch.most) {
    throw new RangeError(`watchCount is ${watchCount}; allowed is 0 to ${DRIVE.fields.watch.most}`);
  }
  const watch = new Float32Array(watchCount);
  return { tick: 0, gates: 0, state: 0, trip: 0, dutyA: 0, dutyB: 0, dutyC: 0, busy: 0, watch };
}

/** A Scene with every field 0: no power. */
export function blankScene(): Scene {
  const zeros = { open: 0, source: 0, hold: 0, push: 0, inertia: 0, winding: 0, bridge: 0 };
  return { number: 0, levels: 0, gear: 0, clock: 0, trigger: 0, ...zeros };
}

/** A Report with every field 0 and room for `watchCount` watch values (0 to 32). */
export function blankReport(watchCount: number): Report {
  const { watch } = blankDrive(watchCount);
  return { number: 0, state: 0, trip: 0, angle: 0, speed: 0, torque: 0, drawn: 0, loss: 0, busy: 0, watch };
}
