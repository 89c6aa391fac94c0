/**
 * The two ends of the bridge. Each takes apart what arrives at it, checks every frame, and wraps what goes out in its own
 * way: stuffed on a stream, bare in a message. A frame that is damaged on one side never reaches the other.
 *
 * Control frames only: none is dropped for want of room. An end that does not take them in time is cut off instead.
 */
import type { WebSocket } from 'ws';
import type { LossCause } from '../links/link.ts';
import { GARBAGE_BYTES } from '../links/peer.ts';
import { closeReason } from '../links/web-socket-codes.ts';
import type { Ear, Wire } from '../links/wire.ts';
import { acceptedByBoard, acceptedByHost } from '../protocol/accepted.ts';
import { encodeBye, encodeGreet } from '../protocol/codec.ts';
import { BYE, CREDITS_MOST, GREET, HELLO_ID, PROTOCOL_VERSION } from '../protocol/frames.ts';
import { decodeHello, HELLO_BYTES_MOST, type Hello } from '../protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../protocol/message.ts';
import { DROP_CAUSES, DROP_TEXT, PAYLOAD_AT } from '../protocol/packet.ts';
import { type FrameHandler, type Receiver, type Sender, StreamReceiver, StreamSender } from '../protocol/stream.ts';

/** Bytes that may wait for a page that does not read. */
export const WAITING_MOST = 256 * 1024;
/** Time for a page to take its farewell [ms]. */
const LEAVE_MS = 300;
/** Frames that may go to a board without one coming back: twice what the largest credit allows. */
export const UNHEARD_MOST = 2 * CREDITS_MOST;

/** What passed one end, each way. */
export interface Traffic {
  framesIn: number;
  framesOut: number;
  bytesIn: number;
  bytesOut: number;
}

abstract class End {
  readonly traffic: Traffic = { framesIn: 0, framesOut: 0, bytesIn: 0, bytesOut: 0 };
  /** Wall time of the last good frame [ms]. */ heard_ms = performance.now();
  protected readonly receiver: Receiver;
  protected readonly sender: Sender;

  constructor(messages: boolean, from: 'board' | 'page', onFrame: FrameHandler) {
    const accepted = from === 'board' ? acceptedByHost() : acceptedByBoard();
    const hear: FrameHandler = (id, bytes, length) => {
      this.traffic.framesIn++;
      this.heard_ms = performance.now();
      onFrame(id, bytes, length);
    };
    this.receiver = messages ? new MessageReceiver(accepted, hear) : new StreamReceiver(accepted, hear);
    this.sender = messages ? new MessageSender(HELLO_BYTES_MOST) : new StreamSender(HELLO_BYTES_MOST);
  }

  take(chunk: Uint8Array): void {
    this.traffic.bytesIn += chunk.length;
    this.receiver.push(chunk);
  }

  /** Passes on a frame whose payload lies in bytes[PAYLOAD_AT...]. */
  pass(id: number, bytes: Uint8Array, length: number): void {
    this.out(this.sender.wrapCopy(id, bytes.subarray(PAYLOAD_AT, PAYLOAD_AT + length)));
  }

  /** What was dropped as it arrived here, in words; '' when nothing was. */
  get dropped(): string {
    const { drops } = this.receiver;
    const causes = DROP_CAUSES.filter((cause) => drops[cause] > 0);
    return causes.map((cause) => `${drops[cause]} ${DROP_TEXT[cause]}`).join(', ');
  }

  protected out(wrapped: Uint8Array): void {
    this.traffic.framesOut++;
    this.traffic.bytesOut += wrapped.length;
    this.put(wrapped.slice()); // what carries the bytes may hold on to them, and the sender's buffer is used again
  }

  protected abstract put(bytes: Uint8Array): void;
}

export class BoardEnd extends End implements Ear {
  /** Called with each frame. */ onFrame: FrameHandler | undefined;
  /** Called once, when the wire has ended or carries no frames. */
  onLost: ((words: string) => void) | undefined;
  /** Why it was lost. */ loss: string | undefined;
  readonly wire: Wire;
  hello: Hello | undefined;
  /** Frames sent since one came. */ unheard = 0;
  private over = false;

  constructor(wire: Wire) {
    super(wire.messages === true, 'board', (id, bytes, length) => this.hear(id, bytes, length));
    this.wire = wire;
  }

  get progress(): string {
    return this.hello ? `after ${this.traffic.framesIn} frames` : 'before its Hello';
  }

  override take(chunk: Uint8Array): void {
    super.take(chunk);
    const { noise } = this.receiver;
    if (noise > GARBAGE_BYTES) this.lose('garbage', `${noise} bytes without a valid frame (${this.dropped})`);
  }

  lose(_cause: LossCause, words: string): void {
    if (this.over) return;
    this.over = true;
    this.loss = words;
    this.onLost?.(words);
  }

  greet(): void {
    this.out(this.sender.wrap(GREET.id, encodeGreet({ version: PROTOCOL_VERSION }, this.sender.packet, PAYLOAD_AT)));
  }

  bye(reason: number): void {
    this.out(this.sender.wrap(BYE.id, encodeBye({ reason }, this.sender.packet, PAYLOAD_AT)));
  }

  /** Ends quietly: nothing is reported any more. */
  async close(): Promise<void> {
    this.over = true;
    await this.wire.close();
  }

  protected put(bytes: Uint8Array): void {
    this.unheard++;
    if (!this.over) this.wire.send(bytes);
  }

  private hear(id: number, bytes: Uint8Array, length: number): void {
    this.unheard = 0;
    if (id === HELLO_ID && !this.introduced(bytes, length)) return;
    this.onFrame?.(id, bytes, length);
  }

  /** Reads a Hello; whether the board is known then. */
  private introduced(bytes: Uint8Array, length: number): boolean {
    const result = decodeHello(bytes, PAYLOAD_AT, length);
    if ('hello' in result) this.hello = result.hello;
    else if (!this.hello) this.lose(result.problem === 'malformed' ? 'bad hello' : 'wrong version', result.detail);
    return this.hello !== undefined;
  }
}

export class PageEnd extends End {
  private readonly socket: WebSocket;
  private readonly onSlow: (waiting: number) => void;
  private waiting = 0;
  private slow = false;

  /** `onSlow` is called once, when more than WAITING_MOST bytes wait for the page. */
  constructor(socket: WebSocket, onFrame: FrameHandler, onSlow: (waiting: number) => void) {
    super(true, 'page', onFrame);
    this.socket = socket;
    this.onSlow = onSlow;
  }

  say(text: string): void {
    this.socket.send(text);
  }

  /** Says why, and ends; a page that reads no more is cut off after a moment. */
  close(code: number, words: string): void {
    this.socket.close(code, closeReason(words));
    setTimeout(() => this.socket.terminate(), LEAVE_MS).unref();
  }

  protected put(bytes: Uint8Array): void {
    // Counted here, not read from bufferedAmount: what a runtime counts there differs.
    this.waiting += bytes.length;
    this.socket.send(bytes, () => {
      this.waiting -= bytes.length;
    });
    if (this.waiting <= WAITING_MOST || this.slow) return;
    this.slow = true;
    this.onSlow(this.waiting);
  }
}
