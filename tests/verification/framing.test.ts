/**
 * Published vectors of the wire formats.
 *
 * Checksum     G. Cook, Catalogue of Parametrised CRC Algorithms, entry CRC-16/IBM-3740: check 0x29B1.
 *              AUTOSAR, Specification of CRC Routines, table of the 16-bit CCITT-FALSE results: the rows 00 00 00 00
 *              and f2 01 83; the further rows of that table are from memory.
 * Stuffing     S. Cheshire, M. Baker: Consistent Overhead Byte Stuffing, IEEE/ACM Transactions on Networking 7(2), 1999;
 *              the vectors are the encoding examples of the Wikipedia article of that name, delimiter left out.
 * Float32      IEEE 754 binary32, low byte first.
 */
import { describe, expect, it } from 'vitest';
import { cobsDecode, cobsEncode, cobsMost } from '../../src/protocol/cobs.ts';
import { blankDrive, encodeDrive } from '../../src/protocol/codec.ts';
import { CRC_BYTES, crc16 } from '../../src/protocol/crc16.ts';
import { DRIVE, PAYLOAD_MOST } from '../../src/protocol/frames.ts';
import { checkPacket, PACKET_EXTRA } from '../../src/protocol/packet.ts';
import { hex, unhex } from '../support/hex.ts';

/** Bytes first to last, both included. */
function span(first: number, last: number): string {
  return hex(Uint8Array.from({ length: last - first + 1 }, (_, k) => first + k));
}

const CRC_VECTORS = [
  ['31 32 33 34 35 36 37 38 39', 0x29b1],
  ['00 00 00 00', 0x84c0],
  ['f2 01 83', 0xd374],
  ['0f aa 00 55', 0x2023],
  ['00 ff 55 11', 0xb8f9],
  ['33 22 55 aa bb cc dd ee ff', 0xf53f],
  ['92 6b 55', 0x0745],
  ['ff ff ff ff', 0x1d0f],
] as const;

const COBS_VECTORS = [
  ['', '01'],
  ['00', '01 01'],
  ['00 00', '01 01 01'],
  ['00 11 00', '01 02 11 01'],
  ['11 22 00 33', '03 11 22 02 33'],
  ['11 22 33 44', '05 11 22 33 44'],
  ['11 00 00 00', '02 11 01 01 01'],
  [span(0x01, 0xfe), `ff ${span(0x01, 0xfe)}`],
  [span(0x00, 0xfe), `01 ff ${span(0x01, 0xfe)}`],
  [span(0x01, 0xff), `ff ${span(0x01, 0xfe)} 02 ff`],
  [`${span(0x02, 0xff)} 00`, `ff ${span(0x02, 0xff)} 01 01`],
  [`${span(0x03, 0xff)} 00 01`, `fe ${span(0x03, 0xff)} 02 01`],
] as const;

describe('published framing vectors', () => {
  it.each(CRC_VECTORS)('the checksum of %s is that of the catalogue', (bytes, crc) => {
    expect(crc16(unhex(bytes))).toBe(crc);
  });

  it.each(COBS_VECTORS)('%s is stuffed as published', (plain, stuffed) => {
    const from = unhex(plain);
    const to = new Uint8Array(cobsMost(from.length));
    expect(hex(to.subarray(0, cobsEncode(from, from.length, to)))).toBe(stuffed);
  });

  it.each(COBS_VECTORS)('%s comes back from its stuffed form', (plain, stuffed) => {
    const bytes = unhex(stuffed);
    expect(hex(bytes.subarray(0, cobsDecode(bytes, 0, bytes.length, bytes)))).toBe(plain);
  });

  it('watch values travel as binary32, low byte first', () => {
    const drive = blankDrive(2);
    drive.watch.set([1.5, -0.1]);
    const bytes = new Uint8Array(DRIVE.mostBytes);
    const length = encodeDrive(drive, bytes);
    expect(hex(bytes.subarray(DRIVE.bytes, length))).toBe('00 00 c0 3f cd cc cc bd');
  });

  it.each(CRC_VECTORS)(
    'a packet that is %s with its checksum behind it passes, and no other checksum does',
    (bytes, crc) => {
      const packet = unhex(`${bytes} ${hex(Uint8Array.of(crc, crc >> 8))}`);
      const accepted = [{ id: packet[0], least: 0, most: 20 }];
      expect(checkPacket(packet, packet.length, accepted)).toBe('ok');
      for (let other = 1; other < 0x10000; other++) {
        packet[packet.length - 2] = crc ^ other;
        packet[packet.length - 1] = (crc ^ other) >> 8;
        if (checkPacket(packet, packet.length, accepted) !== 'badCrc') expect.fail(`${other}`);
      }
    },
  );

  // P. Koopman, T. Chakravarty: Cyclic Redundancy Code (CRC) Polynomial Selection For Embedded Networks, DSN 2004, from
  // memory: this polynomial finds every error of up to three bits in words up to 32 751 bits.
  it('no one, two or three flipped bits in the longest packet of a fixed frame pass', () => {
    const length = PAYLOAD_MOST + PACKET_EXTRA;
    const packet = new Uint8Array(length);
    const end = length - CRC_BYTES;
    const remainder = () => crc16(packet, 0, end) ^ packet[end] ^ (packet[end + 1] << 8);
    const right = remainder();
    // The checksum is linear: what a flipped bit does to the remainder is the same in every packet.
    const marks = Array.from({ length: 8 * length }, (_, bit) => {
      packet[bit >> 3] ^= 1 << (bit & 7);
      const mark = remainder() ^ right;
      packet[bit >> 3] ^= 1 << (bit & 7);
      return mark;
    });
    const one = new Set(marks);
    expect(one.has(0)).toBe(false);
    expect(one.size).toBe(marks.length); // no two cancel
    const three = marks.some((a, k) => marks.slice(k + 1).some((b) => one.has(a ^ b)));
    expect(three).toBe(false);
  });
});
