/** The board's side of a link for a controller written in TypeScript: frames in, frames out, as a board would. */
import { acceptedByBoard } from '../protocol/accepted.ts';
import { blankDrive, blankSense, decodeBeat, decodeSense, encodeBeat, encodeDrive } from '../protocol/codec.ts';
import type { Controller } from '../protocol/controller.ts';
import { BEAT, BEAT_ANSWER, DRIVE, GREET, HELLO_ID, SENSE } from '../protocol/frames.ts';
import { encodeHello, HELLO_BYTES_MOST } from '../protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../protocol/message.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { type Receiver, type Sender, StreamReceiver, StreamSender } from '../protocol/stream.ts';

export class ServedController {
  readonly receiver: Receiver;
  private readonly sense = blankSense();
  private readonly drive;
  private readonly sender: Sender;
  private readonly controller: Controller;
  /** Payload of the Sense before, once there was one. */
  private readonly before = new Uint8Array(SENSE.bytes);
  private ticked = false;
  private readonly send: (bytes: Uint8Array) => void;

  /**
   * `send` gets bytes that are valid until it is called again; with `messages` each is a bare packet, and each push is one.
   * Throws RangeError when hello breaks its schema.
   */
  constructor(controller: Controller, send: (bytes: Uint8Array) => void, messages = false) {
    this.controller = controller;
    this.send = send;
    this.drive = blankDrive(controller.hello.watch.length);
    const onFrame = (id: number, bytes: Uint8Array, length: number) => {
      if (id === SENSE.id && decodeSense(bytes, this.sense, PAYLOAD_AT, length) === 'ok') this.answer(bytes);
      else if (id === GREET.id) this.sayHello();
      else if (id === BEAT.id) this.answerBeat(bytes, length);
    };
    const accepted = acceptedByBoard();
    this.sender = messages ? new MessageSender(HELLO_BYTES_MOST) : new StreamSender(HELLO_BYTES_MOST);
    this.receiver = messages ? new MessageReceiver(accepted, onFrame) : new StreamReceiver(accepted, onFrame);
  }

  sayHello(): void {
    this.send(this.sender.wrapCopy(HELLO_ID, encodeHello(this.controller.hello)));
  }

  /** A Sense that comes twice is one tick: it is answered again, and the controller's time stands still. */
  private answer(bytes: Uint8Array): void {
    if (!this.repeats(bytes)) this.controller.tick(this.sense, this.drive);
    const length = encodeDrive(this.drive, this.sender.packet, PAYLOAD_AT);
    this.send(this.sender.wrap(DRIVE.id, length));
  }

  /** Whether this is the Sense before once more, byte for byte; keeps it for the next one. */
  private repeats(bytes: Uint8Array): boolean {
    const { before } = this;
    let same = this.ticked;
    for (let k = 0; k < before.length; k++) {
      const byte = bytes[PAYLOAD_AT + k];
      if (before[k] !== byte) same = false;
      before[k] = byte;
    }
    this.ticked = true;
    return same;
  }

  private answerBeat(bytes: Uint8Array, length: number): void {
    const beat = { number: 0, levels: 0, clock: 0 };
    if (decodeBeat(bytes, beat, PAYLOAD_AT, length) !== 'ok' || (beat.levels & BEAT_ANSWER) !== 0) return;
    const answer = { number: beat.number, levels: BEAT_ANSWER, clock: 0 };
    this.send(this.sender.wrap(BEAT.id, encodeBeat(answer, this.sender.packet, PAYLOAD_AT)));
  }
}
