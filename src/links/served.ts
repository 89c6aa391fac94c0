/** The board's side of a link for a controller written in TypeScript: frames in, frames out, as a board would. */
import { acceptedByBoard } from '../protocol/accepted.ts';
import { blankDrive, blankSense, decodeSense, encodeDrive } from '../protocol/codec.ts';
import type { Controller } from '../protocol/controller.ts';
import { DRIVE, GREET, HELLO_ID, SENSE } from '../protocol/frames.ts';
import { encodeHello, HELLO_BYTES_MOST } from '../protocol/hello.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../protocol/stream.ts';

export class ServedController {
  readonly receiver: StreamReceiver;
  private readonly sense = blankSense();
  private readonly drive;
  private readonly sender = new StreamSender(HELLO_BYTES_MOST);
  private readonly controller: Controller;
  private readonly send: (bytes: Uint8Array) => void;

  /** `send` gets bytes that are valid until it is called again. Throws RangeError when hello breaks its schema. */
  constructor(controller: Controller, send: (bytes: Uint8Array) => void) {
    this.controller = controller;
    this.send = send;
    this.drive = blankDrive(controller.hello.watch.length);
    this.receiver = new StreamReceiver(acceptedByBoard(), (id, bytes, length) => {
      if (id === GREET.id) this.sayHello();
      else if (id === SENSE.id && decodeSense(bytes, this.sense, PAYLOAD_AT, length) === 'ok') this.answer();
    });
  }

  sayHello(): void {
    this.send(this.sender.wrapCopy(HELLO_ID, encodeHello(this.controller.hello)));
  }

  private answer(): void {
    this.controller.tick(this.sense, this.drive);
    const length = encodeDrive(this.drive, this.sender.packet, PAYLOAD_AT);
    this.send(this.sender.wrap(DRIVE.id, length));
  }
}
