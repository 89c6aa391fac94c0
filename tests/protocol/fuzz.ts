/**
 * Random, cut, doubled, merged and bit-flipped sequences for the receivers. A sequence is a few good frames with one fault in
 * it, or nothing but noise, and a good frame behind. Good frames are known byte by byte, so one that is delivered and was not
 * sent in this sequence is a false one; and every frame that the fault has not touched must arrive.
 */
import { cobsEncode } from '../../src/protocol/cobs.ts';
import { MessageReceiver, MessageSender } from '../../src/protocol/message.ts';
import { type Accepted, type Drops, PACKET_EXTRA, PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { type Receiver, type Sender, StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { seededInt } from '../support/seeded.ts';

/** `noise` is chance from the first byte to the last; `shaped` has a known id, a right length and a checksum of chance. */
export const FAULTS = ['flipped', 'cut', 'doubled', 'merged', 'inserted', 'overwritten', 'noise', 'shaped'] as const;
export type Fault = (typeof FAULTS)[number];

/** Frames of a direction: what a receiver takes, and what is sent. */
export interface Traffic {
  readonly accepted: readonly Accepted[];
  readonly frames: readonly { readonly id: number; readonly length: number }[];
}

export interface FuzzFigures {
  sequences: number;
  bytes: number;
  /** Good frames sent. */ sent: number;
  /** Good frames sent that did not arrive. */ lost: number;
  /** Most of them that one short fault has cost. */ mostLost: number;
  /** Frames that did not arrive though no fault had touched them. */ lostUntouched: number;
  /** Packets with a checksum of chance, known id and right length. */ shaped: number;
  /** Frames delivered that were never sent: of those, of one to three flipped bits, and of all other sequences. */
  falseShaped: number;
  falseFlipped: number;
  falseOther: number;
  drops: Readonly<Drops>;
}

/** Longest stretch of a short fault [bytes]: shorter than any frame with its delimiters, so that it touches two at most. */
const STRETCH = 6;
const FRAMES_MOST = 4;
const ROOM = 4096;

/** One run over `sequences` sequences; the same seed makes the same ones. */
export function fuzz(
  traffic: Traffic,
  messages: boolean,
  sequences: number,
  seed: number,
  faults: readonly Fault[] = FAULTS,
): FuzzFigures {
  const run = new FuzzRun(traffic, messages, seed);
  for (let k = 0; k < sequences; k++) run.sequence(faults[k % faults.length]);
  return { ...run.figures, sequences, drops: { ...run.receiver.drops } };
}

class FuzzRun {
  readonly receiver: Receiver;
  readonly figures = {
    bytes: 0,
    sent: 0,
    lost: 0,
    mostLost: 0,
    lostUntouched: 0,
    shaped: 0,
    falseShaped: 0,
    falseFlipped: 0,
    falseOther: 0,
  };
  private readonly traffic: Traffic;
  private readonly messages: boolean;
  private readonly draw: (below: number) => number;
  private readonly sender: Sender;
  /** The good frames of a sequence as they go out, where each begins, and what a receiver must hand over. */
  private readonly good = new Uint8Array(ROOM);
  private readonly begins = new Int32Array(FRAMES_MOST + 2);
  private readonly packets = Array.from({ length: FRAMES_MOST + 1 }, () => new Uint8Array(ROOM));
  private readonly lengths = new Int32Array(FRAMES_MOST + 1);
  private readonly arrived = new Uint8Array(FRAMES_MOST + 1);
  private readonly bad = new Uint8Array(2 * ROOM);
  private count = 0;
  private fault: Fault = 'noise';

  constructor(traffic: Traffic, messages: boolean, seed: number) {
    this.traffic = traffic;
    this.messages = messages;
    this.draw = seededInt(seed);
    this.sender = messages ? new MessageSender(ROOM) : new StreamSender(ROOM);
    const hear = (id: number, bytes: Uint8Array, length: number) => this.hear(id, bytes, length);
    this.receiver = messages ? new MessageReceiver(traffic.accepted, hear) : new StreamReceiver(traffic.accepted, hear);
  }

  sequence(fault: Fault): void {
    this.fault = fault;
    this.count = 0;
    if (fault === 'noise') this.push(this.bad, 0, this.noise());
    else if (fault === 'shaped') this.push(this.bad, 0, this.shape());
    else this.damage(1 + this.draw(FRAMES_MOST));
    const behind = this.count;
    this.append();
    this.push(this.good, this.begins[behind], this.begins[behind + 1]);
    if (this.arrived[behind] === 0) this.figures.lostUntouched++;
  }

  /** Sends `count` frames with one fault among them. */
  private damage(count: number): void {
    for (let k = 0; k < count; k++) this.append();
    // On a stream the fault is anywhere; of messages it hits one, or makes one of two.
    const first = this.messages ? this.draw(count) : 0;
    const behind = this.messages ? Math.min(count, first + (this.fault === 'merged' ? 2 : 1)) : count;
    const from = this.begins[first];
    const to = this.begins[behind];
    for (let k = 0; k < first; k++) this.push(this.good, this.begins[k], this.begins[k + 1]);
    const short = this.draw(8) !== 0;
    let a = from + this.draw(to - from);
    let b = Math.min(to, a + 1 + this.draw(short ? STRETCH : to - from));
    if (this.fault === 'merged') {
      const border = this.begins[first + 1];
      // From the end of a frame to the start of the next; messages lose their border only.
      a = this.messages || border === to ? border : border - 1 - this.draw(2);
      b = this.messages || border === to ? border : border + 1 + this.draw(2);
    }
    if (this.fault === 'doubled') a = this.doubled(from, to, a, b);
    else this.altered(from, to, a, b);
    if (this.fault === 'doubled' || this.fault === 'inserted') b = a;
    for (let k = behind; k < count; k++) this.push(this.good, this.begins[k], this.begins[k + 1]);
    // A message that the fault hit counts as touched from end to end.
    if (this.messages) this.judge(count, from, to, short);
    else this.judge(count, a, b, short);
  }

  /** Sends the bytes with those from a to b a second time behind them; returns the place where something was put in. */
  private doubled(from: number, to: number, a: number, b: number): number {
    this.bad.set(this.good.subarray(from, b));
    this.bad.set(this.good.subarray(a, to), b - from);
    this.push(this.bad, 0, to - from + b - a);
    return b;
  }

  /** Sends the bytes with those from a to b gone, changed, or with others before them. */
  private altered(from: number, to: number, a: number, b: number): void {
    const { bad, good, draw, fault } = this;
    bad.set(good.subarray(from, a));
    let end = a - from;
    if (fault === 'flipped') {
      bad.set(good.subarray(a, b), end);
      for (let n = 1 + draw(3); n > 0; n--) bad[end + draw(b - a)] ^= 1 << draw(8);
      end += b - a;
    } else if (fault === 'overwritten' || fault === 'inserted') {
      // On a stream with more delimiters than chance has.
      for (let k = a; k < b; k++) bad[end++] = !this.messages && draw(8) === 0 ? 0 : draw(256);
    }
    const rest = fault === 'inserted' ? a : b;
    bad.set(good.subarray(rest, to), end);
    this.push(bad, 0, end + to - rest);
  }

  /** Every frame must have arrived that the bytes from a to b do not lie in, nor the place a when they are none. */
  private judge(count: number, a: number, b: number, short: boolean): void {
    let lost = 0;
    for (let k = 0; k < count; k++) {
      if (this.arrived[k] > 0) continue;
      lost++;
      const [begin, end] = [this.begins[k], this.begins[k + 1]];
      const touched = a === b ? begin < a && a < end : begin < b && a < end;
      if (!touched) this.figures.lostUntouched++;
    }
    this.figures.lost += lost;
    if (short && lost > this.figures.mostLost) this.figures.mostLost = lost;
  }

  /** One more good frame of random content. */
  private append(): void {
    const { frames } = this.traffic;
    const { id, length } = frames[this.draw(frames.length)];
    const own = this.packets[this.count];
    own[0] = id;
    for (let k = 1; k <= length; k++) own[k] = this.draw(3) === 0 ? 0 : this.draw(256);
    own[1] = (own[1] & 0xf8) | this.count; // no two frames of a sequence are the same
    this.lengths[this.count] = length + 1;
    this.arrived[this.count] = 0;
    const wire = this.sender.wrapCopy(id, own.subarray(1, length + 1));
    const begin = this.begins[this.count];
    this.good.set(wire, begin);
    this.begins[++this.count] = begin + wire.length;
    this.figures.sent++;
  }

  private noise(): number {
    const length = 1 + this.draw(300);
    const zeros = 2 + this.draw(60);
    for (let k = 0; k < length; k++) this.bad[k] = this.draw(zeros) === 0 ? 0 : this.draw(256);
    return length;
  }

  /** A packet that only its checksum can give away. */
  private shape(): number {
    const { frames } = this.traffic;
    const { id, length } = frames[this.draw(frames.length)];
    const packet = this.messages ? this.bad : this.packets[0];
    packet[0] = id;
    for (let k = PAYLOAD_AT; k < length + PACKET_EXTRA; k++) packet[k] = this.draw(256);
    this.figures.shaped++;
    if (this.messages) return length + PACKET_EXTRA;
    this.bad[0] = 0;
    const end = cobsEncode(packet, length + PACKET_EXTRA, this.bad, 1);
    this.bad[end] = 0;
    return end + 1;
  }

  /** Of a stream in up to three pieces. */
  private push(bytes: Uint8Array, from: number, to: number): void {
    this.figures.bytes += to - from;
    const pieces = this.messages || to === from ? 0 : this.draw(3);
    let at = from;
    for (let k = 0; k < pieces; k++) {
      const cut = at + this.draw(to - at + 1);
      this.receiver.push(bytes.subarray(at, cut));
      at = cut;
    }
    this.receiver.push(bytes.subarray(at, to));
  }

  private hear(id: number, bytes: Uint8Array, length: number): void {
    for (let k = 0; k < this.count; k++) {
      const own = this.packets[k];
      let same = own[0] === id && this.lengths[k] === length + 1;
      for (let j = 0; same && j < length; j++) same = own[j + 1] === bytes[PAYLOAD_AT + j];
      if (!same) continue;
      this.arrived[k] = 1;
      return;
    }
    if (this.fault === 'shaped') this.figures.falseShaped++;
    else if (this.fault === 'flipped') this.figures.falseFlipped++;
    else this.figures.falseOther++;
  }
}
