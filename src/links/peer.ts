/**
 * The drill's end of a link, whatever carries it: framing, Hello and Welcome, notes, signs of life, farewell, losses,
 * counters. What carries the bytes (a process, a socket, a serial port, memory) is a Wire; it hands over what arrives
 * and says when it ends. The exchange of frames in lock-step is session.ts; rate-split has its own.
 */
import { acceptedByHost } from '../protocol/accepted.ts';
import {
  decodeBeat,
  decodeBye,
  decodeNote,
  encodeBeat,
  encodeBye,
  encodeGreet,
  encodePower,
  encodeRefuse,
  encodeWelcome,
} from '../protocol/codec.ts';
import {
  BEAT,
  BEAT_ANSWER,
  type Beat,
  BYE,
  BYE_DONE,
  DRIVE,
  FRAMES,
  GREET,
  HELLO_ID,
  NOTE,
  POWER,
  POWER_ON,
  PROTOCOL_VERSION,
  REFUSE,
  REPORT,
  WELCOME,
} from '../protocol/frames.ts';
import { decodeHello, HELLO_BYTES_MOST, type Hello } from '../protocol/hello.ts';
import { MessageReceiver, MessageSender } from '../protocol/message.ts';
import { DROP_CAUSES, DROP_TEXT, type Drops, PAYLOAD_AT } from '../protocol/packet.ts';
import { type Receiver, type Sender, StreamReceiver, StreamSender } from '../protocol/stream.ts';
import { BoardClock } from './board-clock.ts';
import { LinkLostError } from './errors.ts';
import {
  type BoardLink,
  LINK_TIMES,
  type LinkCounters,
  type LinkLoss,
  type LinkNote,
  type LinkTimes,
  type LossCause,
  type WelcomeTerms,
} from './link.ts';
import { measureRoundTrip } from './round-trip.ts';
import { shown } from './shown.ts';
import type { Ear, Wire } from './wire.ts';

/** Bytes without a valid frame that make it plain that the other side does not speak this protocol. */
export const GARBAGE_BYTES = 2 * HELLO_BYTES_MOST;
/** Signs of life in a row that may stay away. */
export const BEATS_MOST = 3;
/** A board that was reset when its port was opened does not hear the first Greet: they repeat until it says Hello [ms]. */
const GREET_EVERY_MS = 500;
/** Beats whose time of asking is kept. */
const BEATS_KEPT = 16;
/** The watch looks this often within a time limit, so a loss is seen at most 1/16 late. */
const LOOKS_PER_LIMIT = 16;
const NOTES_KEPT = 100;
const HOST_MOST = Math.max(...FRAMES.filter((each) => each.from !== 'board').map((each) => each.mostBytes));

export const BYE_TEXT: Readonly<Record<number, string>> = {
  0: 'it is done',
  1: 'it cannot go on',
  2: 'it starts anew',
};

export class Peer implements Ear {
  readonly counters: LinkCounters & { readonly drops: Drops };
  readonly notes: LinkNote[] = [];
  /** Called with each note. */ onNote: ((note: LinkNote) => void) | undefined;
  /** Called once when the link is lost. */ onLost: ((loss: LinkLoss) => void) | undefined;
  /** Called when a Beat is answered, with the times at which it was asked and answered [ms]. */
  onBeat: ((beat: Beat, asked_ms: number, came_ms: number) => void) | undefined;
  protected readonly wire: Wire;
  protected readonly times: LinkTimes;
  protected readonly sender: Sender;
  protected lost: LinkLoss | undefined;
  protected waiting = false;
  protected asked_ms = 0;
  private readonly aside: Sender;
  private readonly receiver: Receiver;
  private said: Hello | undefined;
  private ended = false;
  private introduced: (() => void) | undefined;
  private watcher: ReturnType<typeof setInterval> | undefined;
  private beater: ReturnType<typeof setInterval> | undefined;
  private greeter: ReturnType<typeof setInterval> | undefined;
  private heardAt = 0;
  private beats = 0;
  private readonly beatAsked_ms = new Float64Array(BEATS_KEPT);
  /** Greets whose Hello may still come. */ private hellosOwed = 0;
  private unanswered = 0;
  private beaten_ms = 0;

  constructor(wire: Wire, times: Partial<LinkTimes> = {}) {
    this.wire = wire;
    this.times = { ...LINK_TIMES, ...times };
    // Two senders: a frame that waits for its answer must stay as it is while a Beat goes out.
    const sender = () => (wire.messages ? new MessageSender(HOST_MOST) : new StreamSender(HOST_MOST));
    this.sender = sender();
    this.aside = sender();
    const accepted = acceptedByHost();
    this.receiver = wire.messages
      ? new MessageReceiver(accepted, this.onFrame)
      : new StreamReceiver(accepted, this.onFrame);
    const { drops } = this.receiver;
    this.counters = {
      sent: 0,
      answered: 0,
      late: 0,
      repeated: 0,
      wrongTick: 0,
      lost: 0,
      hellos: 0,
      restarts: 0,
      notes: 0,
      beatsMissed: 0,
      bytes: 0,
      drops,
    };
  }

  get name(): string {
    return this.wire.name;
  }

  /** What the board said. Throws Error before `open` has resolved. */
  get hello(): Hello {
    if (!this.said) throw new Error(`${this.name}: no Hello yet`);
    return this.said;
  }

  /** Greets and waits for Hello. Rejects with LinkLostError. */
  async open(): Promise<Hello> {
    this.asked_ms = performance.now();
    this.greet();
    this.watch(this.times.hello_s);
    if (!this.said && !this.lost) {
      this.greeter = setInterval(() => this.greet(), GREET_EVERY_MS);
      await new Promise<void>((resolve) => {
        this.introduced = resolve;
      });
      clearInterval(this.greeter);
    }
    clearInterval(this.watcher);
    if (this.lost) throw new LinkLostError(this.lost);
    this.watch(this.times.answer_s);
    this.beat();
    return this.hello;
  }

  welcome({ coupling, tick_s, credits = 1 }: WelcomeTerms): void {
    const tick = Math.round(tick_s * 1e9);
    const patience = Math.round(this.times.answer_s * 1000);
    const frame = { version: PROTOCOL_VERSION, coupling, credits, tick, patience };
    this.tell(WELCOME.id, encodeWelcome(frame, this.aside.packet, PAYLOAD_AT));
  }

  refuse(reason: number, text: string): void {
    this.tell(REFUSE.id, encodeRefuse({ version: PROTOCOL_VERSION, reason, text }, this.aside.packet, PAYLOAD_AT));
  }

  power(on: boolean, tick: number): void {
    this.tell(POWER.id, encodePower({ tick, levels: on ? POWER_ON : 0 }, this.aside.packet, PAYLOAD_AT));
  }

  /** Asks for a sign of life now; `onBeat` hears the answer. Returns its number. */
  askBeat(): number {
    this.beats = (this.beats + 1) & 0xffff;
    const number = this.beats; // its answer may come before the call returns
    this.beatAsked_ms[number % BEATS_KEPT] = performance.now();
    this.sendBeat(number, 0);
    return number;
  }

  /** Takes bytes from the carrier: of a stream any piece, else one message. */
  readonly take = (chunk: Uint8Array): void => {
    this.counters.bytes += chunk.length;
    this.receiver.push(chunk);
    if (this.receiver.noise > GARBAGE_BYTES) {
      this.lose('garbage', `${this.receiver.noise} bytes without a valid frame${this.dropped()}`);
    }
  };

  /** Gives the link up; the first reason is kept. */
  lose(cause: LossCause, what: string): void {
    if (this.lost || this.ended) return;
    const trouble = this.wire.trouble?.() ?? '';
    const message = `${this.wire.name}: ${what}${trouble === '' ? '' : `; ${trouble}`}`;
    this.lost = Object.freeze({ cause, message });
    this.settleLoss(this.lost);
    this.introduced?.();
    this.stopWatching();
    this.onLost?.(this.lost);
  }

  /** Says Bye when the board still listens, and stops watching; nothing is reported any more. */
  end(): void {
    if (!this.ended && !this.lost && this.said) {
      this.tell(BYE.id, encodeBye({ reason: BYE_DONE }, this.aside.packet, PAYLOAD_AT));
    }
    this.ended = true;
    this.stopWatching();
  }

  /** Where the link stands, for messages: "before its Hello", "after 12 answers". */
  get progress(): string {
    return this.said ? `after ${this.counters.answered} answers` : 'before its Hello';
  }

  /** An answer in lock-step. */
  protected onDrive(_bytes: Uint8Array, _length: number): void {
    this.counters.drops.unknownId++;
  }

  /** An answer in rate-split. */
  protected onReport(_bytes: Uint8Array, _length: number): void {
    this.counters.drops.unknownId++;
  }

  /** Whoever waits for an answer hears that none comes. */
  protected settleLoss(_loss: LinkLoss): void {}

  /** What the watch says when an answer has stayed away. */
  protected loseAnswer(_limit_s: number): void {}

  protected dropped(): string {
    const { drops } = this.counters;
    const causes = DROP_CAUSES.filter((cause) => drops[cause] > 0);
    return causes.length === 0 ? '' : `; dropped: ${causes.map((c) => `${drops[c]} ${DROP_TEXT[c]}`).join(', ')}`;
  }

  private tell(id: number, length: number): void {
    if (!this.lost && !this.ended) this.wire.send(this.aside.wrap(id, length));
  }

  private readonly onFrame = (id: number, bytes: Uint8Array, length: number): void => {
    this.heardAt = performance.now();
    if (id === DRIVE.id || id === REPORT.id) this.hellosOwed = 0; // it has read all that was sent before
    if (id === DRIVE.id) this.onDrive(bytes, length);
    else if (id === HELLO_ID) this.onHello(bytes, length);
    else if (id === REPORT.id) this.onReport(bytes, length);
    else if (id === NOTE.id) this.takeNote(bytes, length);
    else if (id === BEAT.id) this.takeBeat(bytes, length);
    else if (id === BYE.id) this.takeBye(bytes, length);
  };

  private onHello(bytes: Uint8Array, length: number): void {
    this.counters.hellos++;
    if (this.said) {
      if (this.hellosOwed > 0) this.hellosOwed--;
      else this.counters.restarts++;
      return;
    }
    if (this.lost) return;
    const result = decodeHello(bytes, PAYLOAD_AT, length);
    if ('problem' in result) {
      this.lose(result.problem === 'wrong version' ? 'wrong version' : 'bad hello', result.detail);
      return;
    }
    this.said = result.hello;
    this.receiver.accept(acceptedByHost(result.hello.watch.length));
    this.introduced?.();
  }

  private takeNote(bytes: Uint8Array, length: number): void {
    const frame = { level: 0, text: '' };
    if (decodeNote(bytes, frame, PAYLOAD_AT, length) !== 'ok') return;
    const note = Object.freeze({ level: frame.level, text: shown(frame.text) });
    this.counters.notes++;
    this.notes.push(note);
    if (this.notes.length > NOTES_KEPT) this.notes.shift();
    this.onNote?.(note);
  }

  private takeBeat(bytes: Uint8Array, length: number): void {
    const beat = { number: 0, levels: 0, clock: 0 };
    if (decodeBeat(bytes, beat, PAYLOAD_AT, length) !== 'ok') return;
    if ((beat.levels & BEAT_ANSWER) === 0) {
      this.sendBeat(beat.number, BEAT_ANSWER);
      return;
    }
    this.hellosOwed = 0;
    this.onBeat?.(beat, this.beatAsked_ms[beat.number % BEATS_KEPT], this.heardAt);
  }

  private takeBye(bytes: Uint8Array, length: number): void {
    const bye = { reason: 0 };
    decodeBye(bytes, bye, PAYLOAD_AT, length);
    const why = BYE_TEXT[bye.reason] ?? `reason ${bye.reason}`;
    this.lose('bye', `the board says Bye ${this.progress}: ${why}`);
  }

  private greet(): void {
    this.hellosOwed++;
    this.tell(GREET.id, encodeGreet({ version: PROTOCOL_VERSION }, this.aside.packet, PAYLOAD_AT));
  }

  private sendBeat(number: number, levels: number): void {
    const clock = (performance.now() * 1000) >>> 0;
    this.tell(BEAT.id, encodeBeat({ number, levels, clock }, this.aside.packet, PAYLOAD_AT));
  }

  /** Beats while nothing else is under way; what kept this process itself from looking is not held against the board. */
  private beat(): void {
    const every_ms = this.times.beat_s * 1000;
    if (every_ms <= 0 || this.lost) return;
    this.beaten_ms = performance.now();
    this.heardAt = this.beaten_ms;
    this.beater = setInterval(() => {
      const now = performance.now();
      const overslept = now - this.beaten_ms > 2 * every_ms;
      const quiet = this.heardAt < this.beaten_ms;
      this.beaten_ms = now;
      if (this.waiting) return; // the watch looks after that
      if (!quiet || overslept) this.unanswered = 0;
      else if (this.unanswered > 0) this.counters.beatsMissed++;
      if (this.unanswered >= BEATS_MOST) {
        this.lose('silent', `${BEATS_MOST} signs of life ${this.times.beat_s} s apart were not answered`);
        return;
      }
      this.unanswered++;
      this.askBeat();
    }, every_ms);
  }

  private watch(limit_s: number): void {
    this.watcher = setInterval(
      () => {
        const waited_s = (performance.now() - this.asked_ms) / 1000;
        if (waited_s < limit_s) return;
        if (!this.said) this.lose('no hello', `no Hello within ${limit_s} s; ${this.heard()}`);
        else if (this.waiting) this.loseAnswer(limit_s);
      },
      (limit_s * 1000) / LOOKS_PER_LIMIT,
    );
  }

  private heard(): string {
    return this.counters.bytes === 0 ? 'not a byte came' : `${this.counters.bytes} bytes came${this.dropped()}`;
  }

  private stopWatching(): void {
    clearInterval(this.watcher);
    clearInterval(this.beater);
    clearInterval(this.greeter);
  }
}

/** Ties a peer to its wire, greets, and offers what every link offers with `more` on top. Rejects with LinkLostError. */
export async function openPeer<More extends object>(wire: Wire, peer: Peer, more: More): Promise<BoardLink & More> {
  async function close(): Promise<void> {
    peer.end();
    await wire.close();
  }
  try {
    wire.attach(peer);
    const hello = await peer.open();
    const clock = new BoardClock();
    peer.onBeat = (beat, asked_ms, came_ms) => clock.add(asked_ms / 1000, came_ms / 1000, beat.clock);
    const line = wire.baud === undefined ? {} : { baud: wire.baud, roundTrip: await measureRoundTrip(peer) };
    return {
      ...more,
      ...line,
      boardClock: () => clock.fit(),
      name: wire.name,
      hello,
      counters: peer.counters,
      notes: peer.notes,
      welcome: (terms) => peer.welcome(terms),
      refuse: (reason, text) => peer.refuse(reason, text),
      power: (on, tick) => peer.power(on, tick),
      close,
    };
  } catch (error) {
    await close();
    throw error;
  }
}
