/** The board's side of a link for a controller written in TypeScript: frames in, frames out, as a board would. */
import { blankDrive, blankSense, decodeSense, encodeDrive } from '../protocol/codec.ts';
import type { Controller } from '../protocol/controller.ts';
import { DRIVE, SENSE } from '../protocol/frames.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { BoardSide } from './board-side.ts';

export class ServedController extends BoardSide {
  private readonly sense = blankSense();
  private readonly drive;
  private readonly controller: Controller;
  /** Payload of the Sense before, once there was one. */
  private readonly before = new Uint8Array(SENSE.bytes);
  private ticked = false;

  /** `send` and `messages` as BoardSide says. */
  constructor(controller: Controller, send: (bytes: Uint8Array) => void, messages = false) {
    super(controller.hello, send, messages);
    this.controller = controller;
    this.drive = blankDrive(controller.hello.watch.length);
  }

  protected override take(id: number, bytes: Uint8Array, length: number): void {
    if (id === SENSE.id && decodeSense(bytes, this.sense, PAYLOAD_AT, length) === 'ok') this.answer(bytes);
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
}
