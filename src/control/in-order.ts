/**
 * A frame is acted on once and in its order: one that came already, or that a newer one has overtaken, changes nothing and is
 * answered as the newest was.
 *
 * Scheme  a frame is old when its tick is the newest one or lies up to OLD_MOST before it. One that lies further back comes from
 *         another count, and so does an old one after OLD_MOST others: these reach the controller, which opens its legs after
 *         any gap.
 * Source  numbers in a circle compared by their difference: common practice, no source; OLD_MOST is illustrative.
 */

import { blankDrive } from '../protocol/codec.ts';
import type { Controller } from '../protocol/controller.ts';
import { type Drive, SENSE_BOOT, type Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';

/** How far back a frame may lie to be an old one, and how many may come in a row [ticks]. */
export const OLD_MOST = 16;

export class InOrder implements Controller {
  readonly hello: Hello;
  private readonly inner: Controller;
  /** The newest answer. */ private readonly answer: Drive;
  /** Newest tick, -1 before the first. */ private newest = -1;
  private olds = 0;

  constructor(inner: Controller) {
    this.inner = inner;
    this.hello = inner.hello;
    this.answer = blankDrive(inner.hello.watch.length);
  }

  tick(sense: Sense, drive: Drive): void {
    const boot = (sense.flags & SENSE_BOOT) !== 0;
    const back = this.newest < 0 || boot ? OLD_MOST + 1 : (this.newest - sense.tick) >>> 0;
    if (back <= OLD_MOST && this.olds < OLD_MOST) {
      this.olds += 1;
      copyDrive(this.answer, drive);
      drive.tick = sense.tick;
      return;
    }
    this.olds = 0;
    this.newest = sense.tick;
    this.inner.tick(sense, drive);
    copyDrive(drive, this.answer);
  }
}

function copyDrive(from: Drive, to: Drive): void {
  to.tick = from.tick;
  to.gates = from.gates;
  to.state = from.state;
  to.trip = from.trip;
  to.dutyA = from.dutyA;
  to.dutyB = from.dutyB;
  to.dutyC = from.dutyC;
  to.busy = from.busy;
  const places = Math.min(from.watch.length, to.watch.length);
  for (let k = 0; k < places; k++) to.watch[k] = from.watch[k];
}
