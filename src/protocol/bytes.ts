/** Numbers to and from bytes, little-endian whatever the machine is; what does not fit a field is clamped, NaN becomes 0. */
export type DecodeResult = 'ok' | 'wrong length';

/** Moves one float32 to and from bytes. */
const scratch = new DataView(new ArrayBuffer(4));

export function clamp(value: number, most: number): number {
  if (value >= most) return most;
  return value > 0 ? Math.trunc(value) : 0; // NaN is not above 0
}

export function putU16(bytes: Uint8Array, o: number, value: number): void {
  bytes[o] = value;
  bytes[o + 1] = value >>> 8;
}

export function putU32(bytes: Uint8Array, o: number, value: number): void {
  putU16(bytes, o, value);
  putU16(bytes, o + 2, value >>> 16);
}

export function takeU16(bytes: Uint8Array, o: number): number {
  return bytes[o] | (bytes[o + 1] << 8);
}

export function takeU32(bytes: Uint8Array, o: number): number {
  return (bytes[o] | (bytes[o + 1] << 8) | (bytes[o + 2] << 16) | (bytes[o + 3] << 24)) >>> 0;
}

export function putFloat(bytes: Uint8Array, o: number, value: number): void {
  scratch.setFloat32(0, value, true);
  for (let j = 0; j < 4; j++) bytes[o + j] = scratch.getUint8(j);
}

export function takeFloat(bytes: Uint8Array, o: number): number {
  for (let j = 0; j < 4; j++) scratch.setUint8(j, bytes[o + j]);
  return scratch.getFloat32(0, true);
}

export function putFloats(bytes: Uint8Array, at: number, list: Float32Array): void {
  for (let k = 0, o = at; k < list.length; k++, o += 4) putFloat(bytes, o, list[k]);
}

export function takeFloats(bytes: Uint8Array, at: number, list: Float32Array): void {
  for (let k = 0, o = at; k < list.length; k++, o += 4) list[k] = takeFloat(bytes, o);
}
