/**
 * The lock-step exchange over a link: one Sense, one Drive.
 *
 * An exchange costs one write, one promise and one pass over the bytes: buffers are used again, and one slow timer
 * watches all waiting instead of a timer per frame.
 */
import { decodeDrive, encodeSense } from '../protocol/codec.ts';
import { type Drive, SENSE, type Sense } from '../protocol/frames.ts';
import { PAYLOAD_AT } from '../protocol/packet.ts';
import type { LinkLoss, LinkTimes, LockStepLink } from './link.ts';
import { openPeer, Peer } from './peer.ts';
import type { Wire } from './wire.ts';

const OK = Promise.resolve('ok' as const);

export class Session extends Peer {
  private askedTick = 0;
  private restartsAtAsk = 0;
  private answeredTick = -1;
  private drive: Drive | undefined;
  private settle: ((result: 'ok' | LinkLoss) => void) | undefined;

  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss> {
    if (this.lost) return Promise.resolve(this.lost);
    const { packet } = this.sender;
    this.drive = drive;
    this.askedTick = sense.tick >>> 0;
    this.restartsAtAsk = this.counters.restarts;
    this.asked_ms = performance.now();
    this.waiting = true;
    this.counters.sent++;
    this.wire.send(this.sender.wrap(SENSE.id, encodeSense(sense, packet, PAYLOAD_AT)));
    if (!this.waiting) return this.lost ? Promise.resolve(this.lost) : OK; // a carrier in memory answers at once
    return new Promise((resolve) => {
      this.settle = resolve;
    });
  }

  protected override onDrive(bytes: Uint8Array, length: number): void {
    const at = PAYLOAD_AT;
    const tick = (bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16) | (bytes[at + 3] << 24)) >>> 0;
    if (this.lost) {
      this.counters.late++;
    } else if (tick === this.answeredTick && !(this.waiting && tick === this.askedTick)) {
      this.counters.repeated++;
    } else if (!this.waiting || tick !== this.askedTick) {
      const asked = this.waiting ? `asked was tick ${this.askedTick}` : 'nothing was asked';
      this.counters.wrongTick++;
      this.lose('wrong tick', `an answer is for tick ${tick}; ${asked}`);
    } else if (decodeDrive(bytes, this.drive!, at, length) === 'ok') {
      this.answeredTick = tick;
      this.counters.answered++;
      this.finish('ok');
    } else {
      this.counters.drops.wrongLength++;
    }
  }

  protected override settleLoss(loss: LinkLoss): void {
    this.finish(loss);
  }

  protected override loseAnswer(limit_s: number): void {
    const again = this.counters.restarts > this.restartsAtAsk ? '; it said Hello instead, so it has restarted' : '';
    const which = `tick ${this.askedTick} (frame ${this.counters.sent})`;
    this.lose('no answer', `no answer to ${which} within ${limit_s} s${again}${this.dropped()}`);
  }

  private finish(result: 'ok' | LinkLoss): void {
    const { settle } = this;
    this.waiting = false;
    this.settle = undefined;
    settle?.(result);
  }
}

/** Opens a session over a wire: Greet, Hello. Rejects with LinkLostError; then the wire is closed. */
export async function openSession(wire: Wire, times: Partial<LinkTimes> = {}): Promise<LockStepLink> {
  const session = new Session(wire, times);
  return openPeer(wire, session, { exchange: (sense: Sense, drive: Drive) => session.exchange(sense, drive) });
}
