/**
 * Consistent Overhead Byte Stuffing: removes every 0x00 from a packet, so that 0x00 can mark its ends.
 *
 * Source  S. Cheshire, M. Baker: Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on Networking 7(2),
 *         159-172, 1999. A block of 254 bytes without zero takes the code 0xFF and stands for no zero. After such a
 *         block that ends the packet no further code is written, which the decoder cannot miss.
 */

/** Most bytes that stuffing turns `length` bytes into, without the delimiters. */
export function cobsMost(length: number): number {
  return length + Math.floor(length / 254) + 1;
}

/**
 * Stuffs the first `length` bytes of `from` into `to` from `at` on and returns the end of what it wrote.
 * `to` must have room for cobsMost(length) bytes; the two may not overlap.
 */
export function cobsEncode(from: Uint8Array, length: number, to: Uint8Array, at = 0): number {
  let code = 1;
  let codeAt = at;
  let o = at + 1;
  for (let k = 0; k < length; k++) {
    const byte = from[k];
    if (byte !== 0) {
      to[o++] = byte;
      code++;
    }
    if (byte === 0 || (code === 0xff && k < length - 1)) {
      to[codeAt] = code;
      codeAt = o++;
      code = 1;
    }
  }
  to[codeAt] = code;
  return o;
}

/**
 * Takes the stuffing out of from[start] to from[end - 1]; `to` may be `from` itself, since no byte is written before
 * it was read. Returns the length, or -1 when the bytes are no stuffed packet (a zero inside, or a block cut short).
 */
export function cobsDecode(from: Uint8Array, start: number, end: number, to: Uint8Array): number {
  let o = 0;
  let k = start;
  while (k < end) {
    const code = from[k++];
    if (code === 0 || k + code - 1 > end) return -1;
    for (const stop = k + code - 1; k < stop; k++) {
      if (from[k] === 0) return -1;
      to[o++] = from[k];
    }
    if (code !== 0xff && k < end) to[o++] = 0;
  }
  return o;
}
