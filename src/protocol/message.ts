/** Packets on a link that keeps message borders: one binary message, one packet, the same checksum as on a stream. */
import { type Accepted, checkPacket, type Drops, noDrops, PACKET_EXTRA, PAYLOAD_AT, sealPacket } from './packet.ts';
import type { FrameHandler, Receiver, Sender } from './stream.ts';

export class MessageReceiver implements Receiver {
  readonly drops: Drops = noDrops();
  noise = 0;
  private accepted: readonly Accepted[];
  private readonly most: number;
  private readonly onFrame: FrameHandler;

  /** Takes the frames listed; the longest of them is the longest message. */
  constructor(accepted: readonly Accepted[], onFrame: FrameHandler) {
    this.accepted = accepted;
    this.onFrame = onFrame;
    this.most = Math.max(...accepted.map((each) => each.most)) + PACKET_EXTRA;
  }

  accept(accepted: readonly Accepted[]): void {
    this.accepted = accepted;
  }

  /** Takes one message. */
  push(message: Uint8Array): void {
    this.noise += message.length;
    if (message.length > this.most) {
      this.drops.tooLong++;
      return;
    }
    const result = checkPacket(message, message.length, this.accepted);
    if (result !== 'ok') {
      this.drops[result]++;
      return;
    }
    this.noise = 0;
    this.onFrame(message[0], message, message.length - PACKET_EXTRA);
  }
}

/** Makes packets; its buffer is used again for every one. */
export class MessageSender implements Sender {
  readonly packet: Uint8Array;

  constructor(payloadMost: number) {
    this.packet = new Uint8Array(payloadMost + PACKET_EXTRA);
  }

  wrap(id: number, payloadLength: number): Uint8Array {
    return this.packet.subarray(0, sealPacket(this.packet, id, payloadLength));
  }

  wrapCopy(id: number, payload: Uint8Array): Uint8Array {
    this.packet.set(payload, PAYLOAD_AT);
    return this.wrap(id, payload.length);
  }
}
