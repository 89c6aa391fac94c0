/** What every board of this project does on its side of a link, whatever its coupling: Hello when greeted, signs of life. */
import { acceptedByBoard } from '../protocol/accepted.ts';
import { decodeBeat, encodeBeat } from '../protocol/codec.ts';
import { BEAT, BEAT_ANSWER, GREET, HELLO_ID } from '../protocol/frames.ts';
import { encodeHello, HELLO_BYTES_MOST, type Hello } from '../protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../protocol/message.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { type Receiver, type Sender, StreamReceiver, StreamSender } from '../protocol/stream.ts';

export abstract class BoardSide {
  readonly receiver: Receiver;
  protected readonly sender: Sender;
  protected readonly send: (bytes: Uint8Array) => void;
  private readonly hello: Hello;

  /** `send` gets bytes that are valid until it is called again; with `messages` each is a bare packet, and each push is one. */
  constructor(hello: Hello, send: (bytes: Uint8Array) => void, messages: boolean) {
    this.hello = hello;
    this.send = send;
    const onFrame = (id: number, bytes: Uint8Array, length: number) => {
      if (id === GREET.id) this.sayHello();
      else if (id === BEAT.id) this.answerBeat(bytes, length);
      else this.take(id, bytes, length);
    };
    const accepted = acceptedByBoard();
    this.sender = messages ? new MessageSender(HELLO_BYTES_MOST) : new StreamSender(HELLO_BYTES_MOST);
    this.receiver = messages ? new MessageReceiver(accepted, onFrame) : new StreamReceiver(accepted, onFrame);
  }

  /** Throws RangeError when the Hello breaks its schema. */
  sayHello(): void {
    this.send(this.sender.wrapCopy(HELLO_ID, encodeHello(this.hello)));
  }

  /** A frame of the coupling, its payload in bytes[PAYLOAD_AT...]. */
  protected abstract take(id: number, bytes: Uint8Array, length: number): void;

  private answerBeat(bytes: Uint8Array, length: number): void {
    const beat = { number: 0, levels: 0, clock: 0 };
    if (decodeBeat(bytes, beat, PAYLOAD_AT, length) !== 'ok' || (beat.levels & BEAT_ANSWER) !== 0) return;
    const answer = { number: beat.number, levels: BEAT_ANSWER, clock: 0 };
    this.send(this.sender.wrap(BEAT.id, encodeBeat(answer, this.sender.packet, PAYLOAD_AT)));
  }
}
