/**
 * The lock-step exchange over any byte stream: framing, Hello, waiting, time-outs, losses, counters. What carries the
 * bytes (a process, a socket, memory) is a Carrier; it hands over what arrives and says when it ends.
 *
 * An exchange costs one write, one promise and one pass over the bytes: buffers are used again, and one slow timer
 * watches all waiting instead of a timer per frame.
 */
import { acceptedByHost } from '../protocol/accepted.ts';
import { blankGreet, decodeDrive, encodeGreet, encodeSense } from '../protocol/codec.ts';
import { DRIVE, type Drive, GREET, HELLO_ID, PROTOCOL_VERSION, SENSE, type Sense } from '../protocol/frames.ts';
import { decodeHello, HELLO_BYTES_MOST, type Hello } from '../protocol/hello.ts';
import { DROP_CAUSES, DROP_TEXT, type Drops, PAYLOAD_AT } from '../protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../protocol/stream.ts';
import { LinkLostError } from './errors.ts';
import { LINK_TIMES, type LinkCounters, type LinkLoss, type LinkTimes, type LossCause } from './link.ts';

/** What carries the bytes of a session. */
export interface Carrier {
  /** Puts the bytes on their way; those of a Sense stay as they are until it is answered. */
  send(bytes: Uint8Array): void;
  /** Name of the other end in messages, e.g. the command line. */ readonly name: string;
}

/** Bytes without a valid frame that make it plain that the other side does not speak this protocol. */
export const GARBAGE_BYTES = 2 * HELLO_BYTES_MOST;
/** The watch looks this often within a time limit, so a loss is seen at most 1/16 late. */
const LOOKS_PER_LIMIT = 16;

const OK = Promise.resolve('ok' as const);

export class Session {
  readonly counters: LinkCounters & { readonly drops: Drops };
  private readonly carrier: Carrier;
  private readonly times: LinkTimes;
  private readonly sender = new StreamSender(SENSE.bytes);
  private readonly receiver: StreamReceiver;
  private said: Hello | undefined;
  private lost: LinkLoss | undefined;
  private waiting = false;
  private asked_ms = 0;
  private askedTick = 0;
  private hellosAtAsk = 0;
  private answeredTick = -1;
  private drive: Drive | undefined;
  private settle: ((result: 'ok' | LinkLoss) => void) | undefined;
  private introduced: (() => void) | undefined;
  private timer: ReturnType<typeof setInterval> | undefined;

  constructor(carrier: Carrier, times: Partial<LinkTimes> = {}) {
    this.carrier = carrier;
    this.times = { ...LINK_TIMES, ...times };
    this.receiver = new StreamReceiver(acceptedByHost(), this.onFrame);
    const { drops } = this.receiver;
    this.counters = { sent: 0, answered: 0, late: 0, repeated: 0, hellos: 0, bytes: 0, drops };
  }

  /** Greets and waits for Hello. Rejects with LinkLostError. */
  async open(): Promise<Hello> {
    // A sender of its own: a board that says Hello unasked may be asked its first Sense before the Greet is out.
    const greeter = new StreamSender(GREET.bytes);
    const length = encodeGreet(blankGreet(PROTOCOL_VERSION), greeter.packet, PAYLOAD_AT);
    this.asked_ms = performance.now();
    this.carrier.send(greeter.wrap(GREET.id, length));
    this.watch(this.times.hello_s);
    if (!this.said && !this.lost) {
      await new Promise<void>((resolve) => {
        this.introduced = resolve;
      });
    }
    clearInterval(this.timer);
    if (this.lost) throw new LinkLostError(this.lost);
    this.watch(this.times.answer_s);
    return this.said!;
  }

  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss> {
    if (this.lost) return Promise.resolve(this.lost);
    const { packet } = this.sender;
    this.drive = drive;
    this.askedTick = sense.tick >>> 0;
    this.hellosAtAsk = this.counters.hellos;
    this.asked_ms = performance.now();
    this.waiting = true;
    this.counters.sent++;
    this.carrier.send(this.sender.wrap(SENSE.id, encodeSense(sense, packet, PAYLOAD_AT)));
    if (!this.waiting) return this.lost ? Promise.resolve(this.lost) : OK; // a carrier in memory answers at once
    return new Promise((resolve) => {
      this.settle = resolve;
    });
  }

  /** Takes bytes from the carrier. */
  readonly take = (chunk: Uint8Array): void => {
    this.counters.bytes += chunk.length;
    this.receiver.push(chunk);
    if (this.receiver.noise > GARBAGE_BYTES) {
      this.lose('garbage', `${this.receiver.noise} bytes without a valid frame${this.dropped()}`);
    }
  };

  /** Gives the link up; the first reason is kept. */
  lose(cause: LossCause, what: string): void {
    if (this.lost) return;
    this.lost = Object.freeze({ cause, message: `${this.carrier.name}: ${what}` });
    this.finish(this.lost);
    this.introduced?.();
    clearInterval(this.timer);
  }

  /** Stops watching; nothing is reported any more. */
  end(): void {
    clearInterval(this.timer);
  }

  /** Where the link stands, for messages: "before its Hello", "after 12 answers". */
  get progress(): string {
    return this.said ? `after ${this.counters.answered} answers` : 'before its Hello';
  }

  private readonly onFrame = (id: number, bytes: Uint8Array, length: number): void => {
    if (id === HELLO_ID) this.onHello(bytes, length);
    else if (id === DRIVE.id) this.onDrive(bytes, length);
  };

  private onHello(bytes: Uint8Array, length: number): void {
    this.counters.hellos++;
    if (this.said || this.lost) return;
    const result = decodeHello(bytes, PAYLOAD_AT, length);
    if ('problem' in result) {
      this.lose(result.problem === 'wrong version' ? 'wrong version' : 'bad hello', result.detail);
      return;
    }
    this.said = result.hello;
    this.receiver.accept(acceptedByHost(result.hello.watch.length));
    this.introduced?.();
  }

  private onDrive(bytes: Uint8Array, length: number): void {
    const at = PAYLOAD_AT;
    const tick = (bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16) | (bytes[at + 3] << 24)) >>> 0;
    if (this.lost) {
      this.counters.late++;
    } else if (tick === this.answeredTick && !(this.waiting && tick === this.askedTick)) {
      this.counters.repeated++;
    } else if (!this.waiting || tick !== this.askedTick) {
      const asked = this.waiting ? `asked was tick ${this.askedTick}` : 'nothing was asked';
      this.lose('wrong tick', `an answer is for tick ${tick}; ${asked}`);
    } else if (decodeDrive(bytes, this.drive!, at, length) === 'ok') {
      this.answeredTick = tick;
      this.counters.answered++;
      this.finish('ok');
    } else {
      this.counters.drops.wrongLength++;
    }
  }

  private finish(result: 'ok' | LinkLoss): void {
    const { settle } = this;
    this.waiting = false;
    this.settle = undefined;
    settle?.(result);
  }

  private watch(limit_s: number): void {
    this.timer = setInterval(
      () => {
        const waited_s = (performance.now() - this.asked_ms) / 1000;
        if (waited_s < limit_s) return;
        if (!this.said) this.lose('no hello', `no Hello within ${limit_s} s; ${this.heard()}`);
        else if (this.waiting) this.loseAnswer(limit_s);
      },
      (limit_s * 1000) / LOOKS_PER_LIMIT,
    );
  }

  private loseAnswer(limit_s: number): void {
    const again = this.counters.hellos > this.hellosAtAsk ? '; it said Hello instead, so it has restarted' : '';
    const which = `tick ${this.askedTick} (frame ${this.counters.sent})`;
    this.lose('no answer', `no answer to ${which} within ${limit_s} s${again}${this.dropped()}`);
  }

  private heard(): string {
    return this.counters.bytes === 0 ? 'not a byte came' : `${this.counters.bytes} bytes came${this.dropped()}`;
  }

  private dropped(): string {
    const { drops } = this.counters;
    const causes = DROP_CAUSES.filter((cause) => drops[cause] > 0);
    return causes.length === 0 ? '' : `; dropped: ${causes.map((c) => `${drops[c]} ${DROP_TEXT[c]}`).join(', ')}`;
  }
}
