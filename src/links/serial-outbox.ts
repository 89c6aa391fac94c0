/**
 * What waits to go out on a serial line: one write under way at a time, what comes meanwhile leaves together in the next.
 *
 * A write whose length is a multiple of 64 fills the last packet of a USB full-speed endpoint, and a receiver that waits for
 * a short packet would not hand it over before the next write; the same with 512 at high speed. Such a write gets one more
 * delimiter, which means nothing. Buffers are used again; what waits is bounded, and what does not fit is not sent, but counted.
 */

/** Bytes of a full packet at full speed; those of high speed are a multiple of it. */
const PACKET = 64;
const DELIMITER = 0;
/** Most bytes that wait. In lock-step a Sense, a Power and a Beat do; a line that takes no more must not collect for ever. */
export const OUTBOX_ROOM = 4096;

export class Outbox {
  /** Writes handed over. */ writes = 0;
  /** Writes that got a spare delimiter. */ padded = 0;
  /** Frames that found no room. */ unsent = 0;
  private readonly put: (bytes: Uint8Array, done: () => void) => void;
  private waiting = new Uint8Array(OUTBOX_ROOM + 1);
  private flying = new Uint8Array(OUTBOX_ROOM + 1);
  private length = 0;
  private busy = false;
  private stopped = false;
  private atRest: (() => void) | undefined;

  /** `put` gets bytes that are valid until it has called `done`. */
  constructor(put: (bytes: Uint8Array, done: () => void) => void) {
    this.put = put;
  }

  /** Takes a copy of the bytes and sends them as soon as the line is free. */
  send(bytes: Uint8Array): void {
    if (this.stopped) return;
    if (this.length + bytes.length > OUTBOX_ROOM) {
      if (this.busy) {
        this.unsent++;
        return;
      }
      this.waiting = new Uint8Array(bytes.length + 1); // longer than anything that is a frame, and nothing else waits
    }
    this.waiting.set(bytes, this.length);
    this.length += bytes.length;
    if (!this.busy) this.fly();
  }

  /** What found no room, in words; empty when nothing did. */
  trouble(): string {
    return this.unsent === 0 ? '' : `${this.unsent} frames found the line full and were not sent`;
  }

  /** Resolves when nothing waits and nothing is under way. */
  rest(): Promise<void> {
    if (!this.busy) return Promise.resolve();
    return new Promise((resolve) => {
      this.atRest = resolve;
    });
  }

  /** Sends nothing more. */
  stop(): void {
    this.stopped = true;
    this.length = 0;
  }

  private fly(): void {
    const { waiting } = this;
    this.waiting = this.flying;
    this.flying = waiting;
    let end = this.length;
    if (end % PACKET === 0) {
      waiting[end++] = DELIMITER;
      this.padded++;
    }
    this.length = 0;
    this.busy = true;
    this.writes++;
    this.put(waiting.subarray(0, end), this.landed);
  }

  private readonly landed = (): void => {
    this.busy = false;
    if (this.length > 0) this.fly();
    else this.atRest?.();
  };
}
