import { describe, expect, it } from 'vitest';
import { acceptedByBoard, acceptedByHost } from '../../src/protocol/accepted.ts';
import { encodeSense } from '../../src/protocol/codec.ts';
import { DRIVE, SENSE } from '../../src/protocol/frames.ts';
import { checkPacket, noDrops, PAYLOAD_AT, sealPacket } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { hex, unhex } from '../support/hex.ts';
import { seededBytes, seededInt } from '../support/seeded.ts';
import { DRIVE_HEX, SENSE_HEX, SENSE_SAMPLE } from './samples.ts';

/** SENSE_SAMPLE on a stream: delimiter, stuffed 10 | payload | CRC, delimiter; stuffed by hand. */
const SENSE_WIRE =
  '00 07 10 04 03 02 01 0b 01 0a 08 23 01 ff ff ef 07 9a 01 01 07 ff 07 15 02 e8 03 01 09 ff ff 01 08 ff 07 c0 02 00';

function listener() {
  const frames: string[] = [];
  const receiver = new StreamReceiver(acceptedByBoard(), (id, bytes, length) => {
    frames.push(`${hex(Uint8Array.of(id))} | ${hex(bytes.subarray(PAYLOAD_AT, PAYLOAD_AT + length))}`);
  });
  return { frames, receiver };
}
const GOOD = `10 | ${SENSE_HEX}`;

/** CRC of a packet, bit by bit as in the definition; a second way to the table of crc16.ts. */
function crcBitwise(bytes: Uint8Array): number {
  let crc = 0xffff;
  for (const byte of bytes) {
    for (let bit = 7; bit >= 0; bit--) {
      const top = (crc >> 15) ^ ((byte >> bit) & 1);
      crc = ((crc << 1) & 0xffff) ^ (top ? 0x1021 : 0);
    }
  }
  return crc;
}

function wrap(id: number, payload: string): Uint8Array {
  return new StreamSender(300).wrapCopy(id, unhex(payload)).slice();
}

function join(...parts: Uint8Array[]): Uint8Array {
  return Uint8Array.from(parts.flatMap((part) => Array.from(part)));
}

describe('stream framing', () => {
  it('puts delimiters before and after and the checksum low byte first', () => {
    const sender = new StreamSender(SENSE.bytes);
    const wire = sender.wrap(SENSE.id, encodeSense(SENSE_SAMPLE, sender.packet, PAYLOAD_AT));
    const crc = crcBitwise(unhex(`10 ${SENSE_HEX}`));
    expect(hex(Uint8Array.of(crc, crc >> 8))).toBe('c0 02');
    expect(hex(wire)).toBe(SENSE_WIRE);
  });

  it('finds the frame at every split of the stream', () => {
    const wire = join(unhex(SENSE_WIRE), unhex(SENSE_WIRE));
    for (let cut = 0; cut <= wire.length; cut++) {
      const { frames, receiver } = listener();
      receiver.push(wire.subarray(0, cut));
      receiver.push(wire.subarray(cut));
      expect(frames).toEqual([GOOD, GOOD]);
      expect(receiver.drops).toEqual(noDrops());
    }
  });

  it('finds the frame byte by byte', () => {
    const { frames, receiver } = listener();
    for (const byte of unhex(SENSE_WIRE)) receiver.push(Uint8Array.of(byte));
    expect(frames).toEqual([GOOD]);
  });

  it('never passes a frame with one flipped bit, counts it once or twice, and takes the next one', () => {
    const wire = unhex(SENSE_WIRE);
    for (let bit = 0; bit < 8 * wire.length; bit++) {
      const bad = wire.slice();
      bad[bit >> 3] ^= 1 << (bit & 7);
      const { frames, receiver } = listener();
      receiver.push(bad);
      receiver.push(wire);
      const dropped = Object.values(receiver.drops).reduce((sum, n) => sum + n, 0);
      const outside = bit < 8 || bit >= 8 * (wire.length - 1); // a delimiter: the frame may still be whole
      for (const each of frames) expect(each).toBe(GOOD);
      expect(frames.length).toBeGreaterThanOrEqual(1);
      if (!outside) {
        expect(frames.length).toBe(1);
        expect(dropped).toBeGreaterThanOrEqual(1);
        expect(dropped).toBeLessThanOrEqual(2);
      }
    }
  });

  it('loses at most two frames to any flip, lost or extra byte, and never makes one up', () => {
    const wire = unhex(SENSE_WIRE);
    const draw = seededInt(20);
    for (let trial = 0; trial < 20_000; trial++) {
      const stream = Array.from(join(wire, wire, wire, wire));
      const at = draw(stream.length);
      const kind = draw(3);
      if (kind === 0) stream[at] ^= 1 + draw(255);
      else if (kind === 1) stream.splice(at, 1);
      else stream.splice(at, 0, draw(256));
      const { frames, receiver } = listener();
      receiver.push(Uint8Array.from(stream));
      for (const each of frames) expect(each).toBe(GOOD);
      expect(frames.length).toBeGreaterThanOrEqual(2);
    }
  });

  it('finds the frame between garbage before and after', () => {
    for (let seed = 1; seed <= 200; seed++) {
      const { frames, receiver } = listener();
      receiver.push(join(seededBytes(seed, 60), unhex(SENSE_WIRE), seededBytes(seed + 1000, 60), unhex(SENSE_WIRE)));
      expect(frames).toEqual([GOOD, GOOD]);
    }
  });

  it('counts each cause under its own name', () => {
    const cases = [
      ['badCrc', SENSE_WIRE.replace('ef 07', 'ef 06')],
      ['badCobs', SENSE_WIRE.replace('0a 08', '0f 08')],
      ['tooLong', `00 ${'11 '.repeat(212)}00`],
      ['wrongLength', hex(wrap(SENSE.id, '01 02 03 04'))],
      ['wrongLength', '00 02 55 00'],
      ['unknownId', hex(wrap(DRIVE.id, '01 02'))],
    ] as const;
    for (const [cause, wire] of cases) {
      const { frames, receiver } = listener();
      receiver.push(unhex(wire));
      expect(frames).toEqual([]);
      expect(receiver.drops).toEqual({ ...noDrops(), [cause]: 1 });
    }
  });

  it('drops an endless packet without growing, and counts it once', () => {
    const { frames, receiver } = listener();
    for (let k = 0; k < 1000; k++) receiver.push(new Uint8Array(1000).fill(0x41));
    receiver.push(unhex(SENSE_WIRE));
    expect(frames).toEqual([GOOD]);
    expect(receiver.drops).toEqual({ ...noDrops(), tooLong: 1 });
  });

  it('counts the bytes since the last good frame as noise', () => {
    const { receiver } = listener();
    receiver.push(unhex('11 22 00 33'));
    expect(receiver.noise).toBe(3);
    receiver.push(unhex(SENSE_WIRE));
    expect(receiver.noise).toBe(0);
  });

  it('takes a Drive of the announced length only, once Hello is known', () => {
    const taken: number[] = [];
    const receiver = new StreamReceiver(acceptedByHost(), (_, __, length) => taken.push(length));
    receiver.accept(acceptedByHost(2));
    receiver.push(wrap(DRIVE.id, DRIVE_HEX));
    receiver.push(wrap(DRIVE.id, `${DRIVE_HEX} 00 00 00 00`));
    expect(taken).toEqual([24]);
    expect(receiver.drops.wrongLength).toBe(1);
  });
});

describe('message framing', () => {
  it('is the same packet without stuffing', () => {
    const bytes = new Uint8Array(35);
    encodeSense(SENSE_SAMPLE, bytes, PAYLOAD_AT);
    expect(sealPacket(bytes, SENSE.id, SENSE.bytes)).toBe(35);
    expect(hex(bytes)).toBe(`10 ${SENSE_HEX} c0 02`);
    expect(checkPacket(bytes, 35, acceptedByBoard())).toBe('ok');
  });

  it('names what is wrong with a packet', () => {
    const packet = unhex(`10 ${SENSE_HEX} c0 02`);
    const damaged = packet.slice();
    damaged[7] ^= 0x10;
    expect(checkPacket(damaged, 35, acceptedByBoard())).toBe('badCrc');
    expect(checkPacket(packet, 2, acceptedByBoard())).toBe('wrongLength');
    expect(checkPacket(packet, 35, acceptedByHost())).toBe('unknownId');
    const short = new Uint8Array(8);
    expect(checkPacket(short, sealPacket(short, SENSE.id, 3), acceptedByBoard())).toBe('wrongLength');
  });
});
