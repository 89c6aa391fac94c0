/**
 * The bare end of a wire: sends whatever it is given, broken things too, and writes down what comes back, frame by frame
 * with its time. It answers nothing by itself and draws no conclusion; that is what the examinations do.
 */
import type { LossCause } from '../links/link.ts';
import { shown } from '../links/shown.ts';
import type { Ear, Wire } from '../links/wire.ts';
import { acceptedByHost } from '../protocol/accepted.ts';
import { blankDrive, decodeBeat, decodeDrive, encodeBeat, encodeGreet, encodeSense } from '../protocol/codec.ts';
import {
  BEAT,
  BEAT_ANSWER,
  type Beat,
  DRIVE,
  type Drive,
  GREET,
  HELLO_ID,
  NOTE,
  PROTOCOL_VERSION,
  SENSE,
  type Sense,
} from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../protocol/message.ts';
import { DROP_CAUSES, DROP_TEXT, PAYLOAD_AT } from '../protocol/packet.ts';
import { type Receiver, type Sender, StreamReceiver, StreamSender } from '../protocol/stream.ts';

/** Longest payload that is ever sent, oversized frames included. */
const PAYLOAD_ROOM = 8192;
/** Bytes of a piece that is no frame which are kept for the report, and how many such pieces. */
const PIECE_MOST = 60;
const PIECES_MOST = 4;
/** Loss is looked for this often while waiting [ms]. */
const LOOK_MS = 20;

/** A good frame that arrived. */
export interface Heard {
  readonly id: number;
  readonly at_ms: number;
  readonly payload: Uint8Array;
}

export class Probe implements Ear {
  readonly wire: Wire;
  /** Good frames since `forget`, in order. */ readonly heard: Heard[] = [];
  /** Texts of notes. */ readonly notes: string[] = [];
  /** The first pieces that were no frame, made fit to be shown. */ readonly foreign: string[] = [];
  /** Hello frames, asked for or not. */ hellos = 0;
  /** Greets sent. */ greets = 0;
  /** Bytes that arrived. */ bytes = 0;
  /** Why the wire ended. */ lost: string | undefined;
  private readonly receiver: Receiver;
  private readonly sender: Sender;
  private readonly piece: number[] = [];
  private watchCount = 0;
  /** Numbers of the Beats sent, so that an echo is not taken for a question. */ private readonly asked =
    new Set<number>();
  private wake: (() => void) | undefined;

  constructor(wire: Wire) {
    this.wire = wire;
    const accepted = acceptedByHost();
    this.sender = wire.messages ? new MessageSender(PAYLOAD_ROOM) : new StreamSender(PAYLOAD_ROOM);
    this.receiver = wire.messages
      ? new MessageReceiver(accepted, this.onFrame)
      : new StreamReceiver(accepted, this.onFrame);
    wire.attach(this);
  }

  /** Whether bytes travel without borders. */
  get stream(): boolean {
    return this.wire.messages !== true;
  }

  get progress(): string {
    return this.hellos === 0 ? 'before its Hello' : 'during the examination';
  }

  /** Pieces dropped so far, by cause, in words; empty when there were none. */
  get dropped(): string {
    const { drops } = this.receiver;
    const causes = DROP_CAUSES.filter((cause) => drops[cause] > 0);
    const rest = this.piece.length > 0 ? [`${this.piece.length} bytes without an end`] : [];
    return [...causes.map((cause) => `${drops[cause]} with ${DROP_TEXT[cause]}`), ...rest].join(', ');
  }

  /** Takes bytes one at a time, so that a piece that is no frame can be shown. */
  take(chunk: Uint8Array): void {
    this.bytes += chunk.length;
    if (!this.stream) {
      this.judge(chunk, chunk);
      return;
    }
    for (const byte of chunk) {
      if (byte !== 0) {
        this.piece.push(byte);
      } else if (this.piece.length > 0) {
        const piece = Uint8Array.from(this.piece.splice(0));
        this.judge(Uint8Array.of(...piece, 0), piece);
      }
    }
  }

  lose(_cause: LossCause, what: string): void {
    this.lost ??= what;
    this.wake?.();
  }

  /** From now on the length of a Drive is known. */
  know(hello: Hello): void {
    this.watchCount = hello.watch.length;
    this.receiver.accept(acceptedByHost(this.watchCount));
  }

  forget(): void {
    this.heard.length = 0;
  }

  /** A frame as it goes on this wire; a copy. */
  frame(id: number, payload: Uint8Array): Uint8Array {
    return this.sender.wrapCopy(id, payload).slice();
  }

  senseFrame(sense: Sense): Uint8Array {
    return this.sender.wrap(SENSE.id, encodeSense(sense, this.sender.packet, PAYLOAD_AT)).slice();
  }

  beatFrame(number: number, levels: number): Uint8Array {
    this.asked.add(number);
    const length = encodeBeat({ number, levels, clock: 0 }, this.sender.packet, PAYLOAD_AT);
    return this.sender.wrap(BEAT.id, length).slice();
  }

  greet(): void {
    this.greets++;
    const length = encodeGreet({ version: PROTOCOL_VERSION }, this.sender.packet, PAYLOAD_AT);
    this.send(this.sender.wrap(GREET.id, length).slice());
  }

  /** Puts bytes on the wire as one write; on a wire of messages, as one message. */
  send(bytes: Uint8Array): void {
    if (this.lost === undefined) this.wire.send(bytes);
  }

  /** Several frames in one write; on a wire of messages, one message each without a wait between. */
  sendTogether(frames: readonly Uint8Array[]): void {
    if (this.stream) this.send(Uint8Array.from(frames.flatMap((frame) => [...frame])));
    else for (const frame of frames) this.send(frame);
  }

  /** Waits until `found` gives something, the wire ends, or the time is up. */
  async until<T>(found: () => T | undefined, limit_s: number): Promise<T | undefined> {
    let end_ms = performance.now() + limit_s * 1000;
    for (;;) {
      const result = found();
      const now_ms = performance.now();
      const left_ms = end_ms - now_ms;
      if (result !== undefined || this.lost !== undefined || left_ms <= 0) return result;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, Math.max(1, Math.min(left_ms, LOOK_MS)));
        this.wake = () => {
          clearTimeout(timer);
          resolve();
        };
      });
      this.wake = undefined;
      // What kept this process itself from looking is not held against the board.
      const overslept_ms = performance.now() - now_ms - LOOK_MS;
      if (overslept_ms > LOOK_MS) end_ms += overslept_ms;
    }
  }

  /** Lets time pass and hears. */
  async pause(time_s: number): Promise<void> {
    await this.until(() => undefined, time_s);
  }

  /** What was heard since `forget`, but for what a board may send at any time: notes and signs of life. */
  get replies(): Heard[] {
    return this.heard.filter(({ id }) => id !== NOTE.id && id !== BEAT.id);
  }

  /** The Drives heard since `forget`. */
  get drives(): Drive[] {
    return this.heard.filter((each) => each.id === DRIVE.id).map((each) => this.driveOf(each));
  }

  /** The Beats heard since `forget`. */
  get beats(): Beat[] {
    return this.heard
      .filter((each) => each.id === BEAT.id)
      .map(({ payload }) => {
        const beat = { number: 0, levels: 0, clock: 0 };
        decodeBeat(payload, beat);
        return beat;
      });
  }

  driveOf({ payload }: Heard): Drive {
    const drive = blankDrive(this.watchCount);
    decodeDrive(payload, drive);
    return drive;
  }

  private judge(bytes: Uint8Array, piece: Uint8Array): void {
    const before = this.total();
    this.receiver.push(bytes);
    if (this.total() === before || this.foreign.length >= PIECES_MOST) return;
    const readable = piece.every((byte) => byte >= 9 && byte < 127);
    const some = piece.subarray(0, PIECE_MOST);
    const text = shown(new TextDecoder().decode(some));
    const hex = [...some.subarray(0, 16)].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
    this.foreign.push(readable ? `'${text}'` : `${piece.length} bytes: ${hex}`);
  }

  /** A board may ask for a sign of life too. */
  private answerBeat(payload: Uint8Array): void {
    const beat = { number: 0, levels: 0, clock: 0 };
    if (decodeBeat(payload, beat) !== 'ok' || (beat.levels & BEAT_ANSWER) !== 0 || this.asked.has(beat.number)) return;
    this.send(this.beatFrame(beat.number, BEAT_ANSWER));
  }

  private total(): number {
    return DROP_CAUSES.reduce((sum, cause) => sum + this.receiver.drops[cause], 0);
  }

  private readonly onFrame = (id: number, bytes: Uint8Array, length: number): void => {
    const payload = bytes.slice(PAYLOAD_AT, PAYLOAD_AT + length);
    if (id === HELLO_ID) this.hellos++;
    if (id === NOTE.id) this.notes.push(shown(new TextDecoder().decode(payload.subarray(NOTE.bytes))));
    this.heard.push({ id, at_ms: performance.now(), payload });
    if (id === BEAT.id) this.answerBeat(payload);
    this.wake?.();
  };
}
