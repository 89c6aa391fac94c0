/**
 * Framing on a byte stream: 0x00, stuffed packet, 0x00. The delimiter before the packet ends whatever noise came
 * earlier, so a frame never pays for the bytes in front of it; the one behind it hands the frame over at once.
 * Two delimiters in a row are an empty frame and mean nothing.
 *
 * The receiver holds one buffer of fixed size, takes the stream in pieces of any length, never throws, and counts
 * everything that it drops by cause. Its work per byte is constant.
 */
import { cobsDecode, cobsEncode, cobsMost } from './cobs.ts';
import { type Accepted, checkPacket, type Drops, noDrops, PACKET_EXTRA, PAYLOAD_AT, sealPacket } from './packet.ts';

/** Called for each good frame; the payload lies in bytes[PAYLOAD_AT...], valid until the call returns. */
export type FrameHandler = (id: number, bytes: Uint8Array, payloadLength: number) => void;

/** Takes what arrives, on a stream or as messages; never throws, counts what it drops by cause. */
export interface Receiver {
  readonly drops: Drops;
  /** Bytes seen since the last good frame, delimiters not counted. */ readonly noise: number;
  /** Takes the next piece: of a stream, or one message. */
  push(chunk: Uint8Array): void;
  /** Narrows what is taken from now on; frames longer than those of the constructor never fit. */
  accept(accepted: readonly Accepted[]): void;
}

/** Makes what goes on the wire. */
export interface Sender {
  /** Packet in the making; write the payload at PAYLOAD_AT. */ readonly packet: Uint8Array;
  /** Seals and wraps the payload in `packet`; the bytes returned are valid until the next call. */
  wrap(id: number, payloadLength: number): Uint8Array;
  /** The same for a payload that lies elsewhere. */
  wrapCopy(id: number, payload: Uint8Array): Uint8Array;
}

export class StreamReceiver implements Receiver {
  readonly drops: Drops = noDrops();
  noise = 0;
  private readonly buffer: Uint8Array;
  private accepted: readonly Accepted[];
  private readonly onFrame: FrameHandler;
  private length = 0;
  private overrun = false;

  /** Takes the frames listed; the longest of them sets the size of the buffer. */
  constructor(accepted: readonly Accepted[], onFrame: FrameHandler) {
    this.accepted = accepted;
    this.onFrame = onFrame;
    this.buffer = new Uint8Array(cobsMost(Math.max(...accepted.map((each) => each.most)) + PACKET_EXTRA));
  }

  accept(accepted: readonly Accepted[]): void {
    this.accepted = accepted;
  }

  push(chunk: Uint8Array): void {
    const buffer = this.buffer;
    for (let k = 0; k < chunk.length; k++) {
      const byte = chunk[k];
      if (byte === 0) this.finish();
      else if (this.length < buffer.length) buffer[this.length++] = byte;
      else this.overrun = true;
      if (byte !== 0) this.noise++;
    }
  }

  private finish(): void {
    const stuffed = this.length;
    const overrun = this.overrun;
    this.length = 0;
    this.overrun = false;
    if (overrun) {
      this.drops.tooLong++;
      return;
    }
    if (stuffed === 0) return;
    const length = cobsDecode(this.buffer, 0, stuffed, this.buffer);
    if (length < 0) {
      this.drops.badCobs++;
      return;
    }
    const result = checkPacket(this.buffer, length, this.accepted);
    if (result !== 'ok') {
      this.drops[result]++;
      return;
    }
    this.noise = 0;
    this.onFrame(this.buffer[0], this.buffer, length - PACKET_EXTRA);
  }
}

/** Wraps packets for a stream; its two buffers are used again for every frame. */
export class StreamSender implements Sender {
  readonly packet: Uint8Array;
  private readonly wire: Uint8Array;

  constructor(payloadMost: number) {
    this.packet = new Uint8Array(payloadMost + PACKET_EXTRA);
    this.wire = new Uint8Array(cobsMost(this.packet.length) + 2);
  }

  wrap(id: number, payloadLength: number): Uint8Array {
    const length = sealPacket(this.packet, id, payloadLength);
    this.wire[0] = 0;
    const end = cobsEncode(this.packet, length, this.wire, 1);
    this.wire[end] = 0;
    return this.wire.subarray(0, end + 1);
  }

  wrapCopy(id: number, payload: Uint8Array): Uint8Array {
    this.packet.set(payload, PAYLOAD_AT);
    return this.wrap(id, payload.length);
  }
}
