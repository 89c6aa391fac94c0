/**
 * The frames of every tick, field by field. Made from src/protocol by "npm run protocol"; do not edit, it is compared in
 * every test run, and with codecOf on random values. What it does, codec-of.ts says.
 */
import { clamp, type DecodeResult, putFloats, putU16, putU32, takeFloats, takeU16, takeU32 } from './bytes.ts';
import type { Drive, Sense } from './frames.ts';

export function encodeSense(from: Sense, bytes: Uint8Array, at = 0): number {
  const length = 32;
  if (at + length > bytes.length) return 0;
  putU32(bytes, at + 0, from.tick >>> 0);
  putU16(bytes, at + 4, clamp(from.flags, 0xffff));
  putU16(bytes, at + 6, clamp(from.ia, 0xffff));
  putU16(bytes, at + 8, clamp(from.ib, 0xffff));
  putU16(bytes, at + 10, clamp(from.ic, 0xffff));
  putU16(bytes, at + 12, clamp(from.link, 0xffff));
  putU16(bytes, at + 14, clamp(from.trigger, 0xffff));
  putU16(bytes, at + 16, clamp(from.hallAge, 0xffff));
  putU16(bytes, at + 18, clamp(from.heatBridge, 0xffff));
  putU16(bytes, at + 20, clamp(from.heatMotor, 0xffff));
  putU16(bytes, at + 22, clamp(from.phaseA, 0xffff));
  putU16(bytes, at + 24, clamp(from.phaseB, 0xffff));
  putU16(bytes, at + 26, clamp(from.phaseC, 0xffff));
  putU16(bytes, at + 28, clamp(from.gyro, 0xffff));
  putU16(bytes, at + 30, clamp(from.accel, 0xffff));
  return length;
}

export function decodeSense(bytes: Uint8Array, to: Sense, at = 0, length = bytes.length - at): DecodeResult {
  if (length < 32 || at + length > bytes.length) return 'wrong length';
  to.tick = takeU32(bytes, at + 0);
  to.flags = takeU16(bytes, at + 4);
  to.ia = takeU16(bytes, at + 6);
  to.ib = takeU16(bytes, at + 8);
  to.ic = takeU16(bytes, at + 10);
  to.link = takeU16(bytes, at + 12);
  to.trigger = takeU16(bytes, at + 14);
  to.hallAge = takeU16(bytes, at + 16);
  to.heatBridge = takeU16(bytes, at + 18);
  to.heatMotor = takeU16(bytes, at + 20);
  to.phaseA = takeU16(bytes, at + 22);
  to.phaseB = takeU16(bytes, at + 24);
  to.phaseC = takeU16(bytes, at + 26);
  to.gyro = takeU16(bytes, at + 28);
  to.accel = takeU16(bytes, at + 30);
  return 'ok';
}

export function encodeDrive(from: Drive, bytes: Uint8Array, at = 0): number {
  const length = 16 + 4 * from.watch.length;
  if (at + length > bytes.length) return 0;
  putU32(bytes, at + 0, from.tick >>> 0);
  bytes[at + 4] = clamp(from.gates, 0xff);
  bytes[at + 5] = clamp(from.state, 0xff);
  bytes[at + 6] = clamp(from.trip, 0xff);
  bytes[at + 7] = 0;
  putU16(bytes, at + 8, clamp(from.dutyA, 0xffff));
  putU16(bytes, at + 10, clamp(from.dutyB, 0xffff));
  putU16(bytes, at + 12, clamp(from.dutyC, 0xffff));
  putU16(bytes, at + 14, clamp(from.busy, 0xffff));
  putFloats(bytes, at + 16, from.watch);
  return length;
}

export function decodeDrive(bytes: Uint8Array, to: Drive, at = 0, length = bytes.length - at): DecodeResult {
  if (length !== 16 + 4 * to.watch.length || at + length > bytes.length) return 'wrong length';
  to.tick = takeU32(bytes, at + 0);
  to.gates = bytes[at + 4];
  to.state = bytes[at + 5];
  to.trip = bytes[at + 6];
  to.dutyA = takeU16(bytes, at + 8);
  to.dutyB = takeU16(bytes, at + 10);
  to.dutyC = takeU16(bytes, at + 12);
  to.busy = takeU16(bytes, at + 14);
  takeFloats(bytes, at + 16, to.watch);
  return 'ok';
}
