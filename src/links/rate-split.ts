/**
 * The drill's end of a rate-split link: Scenes go out on the beat, Reports come back when they come.
 *
 * A Report is due before the next beat. One that comes after it is late, one that never comes though a later one does, or
 * that stays away for GIVE_UP of the patience, is lost. Hello.credits bounds the Scenes without a Report; a Scene that finds
 * none left is held back, and its beat passes without it. Time is counted in beats, so that what kept this side from
 * looking is not held against the board. A board without a Report for `answer_s` is lost: it gets one more Scene, without
 * power.
 */
import { blankReport, blankScene, decodeReport, encodeScene } from '../protocol/codec.ts';
import { COUPLING_RATE_SPLIT, type Report, SCENE, type Scene } from '../protocol/frames.ts';
import { MessageSender } from '../protocol/message.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import { type Sender, StreamSender } from '../protocol/stream.ts';
import { Unwrap } from '../protocol/unwrap.ts';
import { type BoardLink, LINK_TIMES, type LinkCounters, type LinkLoss, type LinkTimes } from './link.ts';
import { openPeer, Peer } from './peer.ts';
import type { Wire } from './wire.ts';

/** A board that is silent for longer is given up: long against what an operating system keeps a process waiting. */
export const RATE_SPLIT_TIMES: LinkTimes = Object.freeze({ ...LINK_TIMES, answer_s: 0.6 });
/** Share of `answer_s` after which one Scene is given up, so that a damaged frame does not hold its credit for ever. */
export const GIVE_UP = 1 / 8;
/** Beyond these a Report is absurd: 190 000 rpm, and what no hand tool has. */
const MOST = Object.freeze({ speed: 20_000, torque: 1000, drawn: 10_000, loss: 1e6 });

/** What happens in rate-split beside the counts of every link. */
export interface RateSplitCounters extends LinkCounters {
  /** Scenes that were held back because too many were unanswered. */ heldBack: number;
  /** Reports whose values cannot be; they are left aside. */ absurd: number;
}

/** Hears Reports as they come; `late` when the next beat had begun. Must not keep the object. */
export type ReportEar = (report: Report, late: boolean) => void;

export interface RateSplitLink extends BoardLink {
  readonly counters: Readonly<RateSplitCounters>;
  /** Tells the board that it fits, and the interval [s]; from then on `beat` and `send` may be called. */
  start(tick_s: number, ear: ReportEar): void;
  /** A new beat begins. */
  beat(): void;
  /** Sends a Scene and gives it its number; false when no credit is left. */
  send(scene: Scene): boolean;
  /** Takes back a Report whose values cannot be, as seen by whoever heard it. */
  refuseReport(): void;
  /** Scenes that may be unanswered. */ credits(): number;
  /** Scenes that are. */ unanswered(): number;
  /** Why the board is lost, undefined while it is not. */ loss(): LinkLoss | undefined;
}

/** More than the Scenes that can be open: those of all credits, and as many that were given up. */
const RING = 256;

export class RateSplitPeer extends Peer {
  credits = 1;
  private ear: ReportEar | undefined;
  private report: Report = blankReport(0);
  private senders: Sender[] = [];
  private tick_s = 0;
  private beatsRun = 0;
  private readonly beatOf = new Float64Array(RING);
  private readonly numbers = new Unwrap(16);
  /** Numbers, running on: the last one sent, answered, and given up. */
  private sentTo = -1;
  private answeredTo = -1;
  private givenUpTo = -1;
  private silent = 0;
  private restartsAtStart = 0;

  constructor(wire: Wire, times: Partial<LinkTimes> = {}) {
    super(wire, { ...RATE_SPLIT_TIMES, ...times });
    Object.assign(this.counters, { heldBack: 0, absurd: 0 });
  }

  /** The counts of the link, with those of this coupling. */
  get tally(): RateSplitCounters {
    return this.counters as LinkCounters as RateSplitCounters;
  }

  get loss(): LinkLoss | undefined {
    return this.lost;
  }

  start(tick_s: number, ear: ReportEar): void {
    this.tick_s = tick_s;
    this.ear = ear;
    this.credits = this.hello.credits ?? 1;
    this.report = blankReport(this.hello.watch.length);
    this.restartsAtStart = this.counters.restarts;
    // A sender each: the bytes of a Scene stay as they are while it is under way.
    const sender = () => (this.wire.messages ? new MessageSender(SCENE.mostBytes) : new StreamSender(SCENE.mostBytes));
    this.senders = Array.from({ length: this.credits }, sender);
    this.welcome({ coupling: COUPLING_RATE_SPLIT, tick_s, credits: this.credits });
  }

  nextBeat(): void {
    if (this.lost) return;
    this.beatsRun++;
    this.silent++;
    if (this.counters.restarts > this.restartsAtStart) {
      this.lose('bye', `the board said Hello again ${this.progress}: it has restarted`);
      return;
    }
    const limit = GIVE_UP * this.times.answer_s;
    for (let n = this.openFrom; n <= this.sentTo; n++) {
      if ((this.beatsRun - this.beatOf[n % RING]) * this.tick_s < limit) break;
      this.givenUpTo = n;
      this.counters.lost++;
    }
    if (this.silent * this.tick_s > this.times.answer_s) this.giveUp();
  }

  sendScene(scene: Scene): boolean {
    if (this.lost) return false;
    if (this.unansweredScenes >= this.credits) {
      this.tally.heldBack++;
      return false;
    }
    this.put(scene);
    return true;
  }

  refuseReport(): void {
    this.tally.absurd++;
  }

  protected override onReport(bytes: Uint8Array, length: number): void {
    const { counters, report } = this;
    if (!this.ear || this.sentTo < 0) {
      this.lose('wrong tick', 'a Report came before any Scene was sent');
      return;
    }
    if (decodeReport(bytes, report, PAYLOAD_AT, length) !== 'ok') {
      counters.drops.wrongLength++;
      return;
    }
    const n = this.sentTo + this.numbers.ahead(report.number);
    if (this.lost) {
      counters.late++;
    } else if (n > this.sentTo) {
      counters.wrongTick++;
      this.lose('wrong tick', `a Report is for Scene ${report.number}; the last one sent is ${this.sentTo & 0xffff}`);
    } else if (n <= this.answeredTo) {
      counters.repeated++;
    } else {
      this.answer(n);
    }
  }

  /** First number that is neither answered nor given up. */
  private get openFrom(): number {
    return Math.max(this.answeredTo, this.givenUpTo) + 1;
  }

  get unansweredScenes(): number {
    return this.sentTo - this.openFrom + 1;
  }

  private answer(n: number): void {
    const { tally: counters, report } = this;
    counters.lost += Math.max(0, n - this.openFrom);
    if (n <= this.givenUpTo) counters.lost--; // it came after all
    this.answeredTo = n;
    this.silent = 0;
    counters.answered++;
    const late = this.beatsRun > this.beatOf[n % RING];
    if (late) counters.late++;
    if (isAbsurd(report)) counters.absurd++;
    else this.ear?.(report, late);
  }

  private put(scene: Scene): void {
    this.sentTo++;
    scene.number = this.sentTo & 0xffff;
    this.numbers.take(scene.number);
    this.beatOf[this.sentTo % RING] = this.beatsRun;
    this.counters.sent++;
    const sender = this.senders[this.sentTo % this.senders.length];
    this.wire.send(sender.wrap(SCENE.id, encodeScene(scene, sender.packet, PAYLOAD_AT)));
  }

  private giveUp(): void {
    const { answered, sent, heldBack } = this.tally;
    const last = answered === 0 ? 'none was' : `the last one was number ${this.answeredTo & 0xffff}`;
    const held = heldBack > 0 ? `, ${heldBack} held back` : '';
    const what = `no Report for ${this.times.answer_s} s; ${answered} of ${sent} Scenes were answered, ${last}${held}`;
    this.put(blankScene());
    this.lose('no answer', `${what}${this.dropped()}`);
  }
}

function isAbsurd({ speed, torque, drawn, loss }: Report): boolean {
  const fits =
    Math.abs(speed) <= MOST.speed &&
    Math.abs(torque) <= MOST.torque &&
    Math.abs(drawn) <= MOST.drawn &&
    Math.abs(loss) <= MOST.loss;
  return !fits; // what is not a number fits nothing
}

/** Opens a rate-split link over a wire: Greet, Hello. Rejects with LinkLostError; then the wire is closed. */
export async function openRateSplit(wire: Wire, times: Partial<LinkTimes> = {}): Promise<RateSplitLink> {
  const peer = new RateSplitPeer(wire, times);
  const link = await openPeer(wire, peer, {
    start: (tick_s: number, ear: ReportEar) => peer.start(tick_s, ear),
    beat: () => peer.nextBeat(),
    send: (scene: Scene) => peer.sendScene(scene),
    refuseReport: () => peer.refuseReport(),
    credits: () => peer.credits,
    unanswered: () => peer.unansweredScenes,
    loss: () => peer.loss,
  });
  return { ...link, counters: peer.tally };
}
