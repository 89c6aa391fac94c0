/**
 * CRC-32 over bytes as in Ethernet and ZIP (reflected polynomial 0xEDB88320), and the way back from a wrong checksum to
 * the one bit that makes it wrong.
 *
 * A checksum is linear: the difference between the stored and the computed one depends only on where the bits differ,
 * not on the rest. The difference that one bit leaves is that bit, shifted through the register once for each bit behind
 * it; shifting the difference backwards until a lone one appears counts those bits. No two places give the same
 * difference within the 2^32 - 1 bits after which the register repeats itself.
 */
const POLYNOMIAL = 0xedb88320;
const TABLE = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ POLYNOMIAL : value >>> 1;
  return value;
});

/** Checksum of the bytes from `from` up to `to`. */
export function crc32(bytes: Uint8Array, from = 0, to = bytes.length): number {
  let value = 0xffffffff;
  for (let k = from; k < to; k++) value = TABLE[(value ^ bytes[k]) & 0xff] ^ (value >>> 8);
  return (value ^ 0xffffffff) >>> 0;
}

export interface FlippedBit {
  /** Bytes before the one it is in; `length` and more lie in the checksum, which follows little-endian. */
  readonly byte: number;
  /** 0 for the lowest bit. */ readonly bit: number;
}

/**
 * The bit whose flip alone explains the difference of a stored and a computed checksum over `length` bytes, or undefined
 * when no one bit does.
 */
export function flippedBit(stored: number, computed: number, length: number): FlippedBit | undefined {
  let difference = (stored ^ computed) >>> 0;
  if (difference === 0) return undefined;
  if ((difference & (difference - 1)) === 0) {
    const place = 31 - Math.clz32(difference);
    return { byte: length + (place >> 3), bit: place & 7 };
  }
  for (let left = 8 * length - 1; left >= 0; left--) {
    difference = difference >>> 31 ? (((difference ^ POLYNOMIAL) << 1) | 1) >>> 0 : (difference << 1) >>> 0;
    if (difference === 1) return { byte: left >> 3, bit: left & 7 };
  }
  return undefined;
}
