/** The checksum against the one that Node.js has from zlib, and the way back to a flipped bit at every place. */
import { crc32 as zlibCrc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { crc32, flippedBit } from '../../src/recorder/crc32.ts';
import { seeded } from '../support/seeded.ts';

const draw = seeded(7);
const message = Uint8Array.from({ length: 301 }, () => Math.floor(draw() * 256));

describe('the checksum', () => {
  it('is the CRC-32 of zlib, over the whole and over a part', () => {
    expect(crc32(new TextEncoder().encode('123456789'))).toBe(0xcbf43926);
    for (let length = 0; length <= message.length; length++) {
      expect(crc32(message, 0, length)).toBe(zlibCrc32(message.subarray(0, length)));
    }
    expect(crc32(message, 17, 200)).toBe(zlibCrc32(message.subarray(17, 200)));
  });

  it('leads back to every single bit of message and checksum', () => {
    const stored = crc32(message);
    for (let byte = 0; byte < message.length; byte++) {
      for (let bit = 0; bit < 8; bit++) {
        message[byte] ^= 1 << bit;
        expect(flippedBit(stored, crc32(message), message.length)).toEqual({ byte, bit });
        message[byte] ^= 1 << bit;
      }
    }
    for (let place = 0; place < 32; place++) {
      const found = flippedBit((stored ^ (1 << place)) >>> 0, stored, message.length);
      expect(found).toEqual({ byte: message.length + (place >> 3), bit: place & 7 });
    }
  });

  it('blames no bit when two are flipped, nor when none is', () => {
    const stored = crc32(message);
    for (let byte = 1; byte < message.length; byte++) {
      const two = message.slice();
      two[0] ^= 1;
      two[byte] ^= 0x80;
      expect(flippedBit(stored, crc32(two), message.length)).toBeUndefined();
    }
    expect(flippedBit(stored, stored, message.length)).toBeUndefined();
  });
});
