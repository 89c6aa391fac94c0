/**
 * A packet is what every kind of link carries: id | payload | CRC-16 (little-endian) over id and payload.
 * A link that keeps message borders sends it as it is; a stream wraps it (stream.ts).
 */
import { CRC_BYTES, crc16 } from './crc16.ts';

/** Place of the payload in a packet. */
export const PAYLOAD_AT = 1;
/** Bytes that a packet has around its payload. */
export const PACKET_EXTRA = PAYLOAD_AT + CRC_BYTES;

/** How many bytes of payload a receiver takes for one id. */
export interface Accepted {
  readonly id: number;
  readonly least: number;
  readonly most: number;
}

/** Causes for which a receiver drops bytes; each has its counter. */
export const DROP_CAUSES = ['badCrc', 'tooLong', 'badCobs', 'wrongLength', 'unknownId'] as const;
export type DropCause = (typeof DROP_CAUSES)[number];
export type Drops = Record<DropCause, number>;
export type PacketResult = 'ok' | Exclude<DropCause, 'badCobs' | 'tooLong'>;

/** What the causes are called in messages. */
export const DROP_TEXT: Readonly<Record<DropCause, string>> = Object.freeze({
  badCrc: 'bad checksum',
  tooLong: 'too long',
  badCobs: 'bad stuffing',
  wrongLength: 'wrong length',
  unknownId: 'unknown id',
});

export function noDrops(): Drops {
  return { badCrc: 0, tooLong: 0, badCobs: 0, wrongLength: 0, unknownId: 0 };
}

/** Completes a packet whose payload lies at PAYLOAD_AT: writes id and CRC, returns the length of the packet. */
export function sealPacket(bytes: Uint8Array, id: number, payloadLength: number): number {
  const end = PAYLOAD_AT + payloadLength;
  bytes[0] = id;
  const crc = crc16(bytes, 0, end);
  bytes[end] = crc;
  bytes[end + 1] = crc >>> 8;
  return end + CRC_BYTES;
}

/** Checks the packet in the first `length` bytes: checksum first, because id and length of a damaged packet mean nothing. */
export function checkPacket(bytes: Uint8Array, length: number, accepted: readonly Accepted[]): PacketResult {
  if (length < PACKET_EXTRA) return 'wrongLength';
  const end = length - CRC_BYTES;
  if (crc16(bytes, 0, end) !== (bytes[end] | (bytes[end + 1] << 8))) return 'badCrc';
  for (let k = 0; k < accepted.length; k++) {
    if (accepted[k].id !== bytes[0]) continue;
    const payload = length - PACKET_EXTRA;
    return payload < accepted[k].least || payload > accepted[k].most ? 'wrongLength' : 'ok';
  }
  return 'unknownId';
}
