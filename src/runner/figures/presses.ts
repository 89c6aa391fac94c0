/**
 * When the trigger is pressed beyond its contact, and since when a press has driven the legs.
 *
 * What the closing contact does to an empty link is no work of a controller, even of one that still has supply and drives
 * from the first tick on: legs count as driven after the bounces of the contact and the ringing of leads and link.
 */
import type { PackParams } from '../../plant/params/supply.ts';
import { SIGNAL_INDEX as S } from '../../signals.ts';

export interface Press {
  readonly from_s: number;
  /** End of the press, undefined while it lasts. */ to_s?: number;
}

/** Time after the last bounce in which leads and link ring out: they do within tens of microseconds, this is ample [s]. */
const RING_S = 1e-3;

export class Presses {
  /** All presses so far, in the order of time. */ readonly list: Press[] = [];
  /** The contact is closed by the trigger. */ pressed = false;
  /** A leg has been driven since the last press began; stays so until the next one. */ driven = false;
  /** 1 in the tick in which a press begins, -1 in that in which it ends, else 0. */ edge: -1 | 0 | 1 = 0;
  private readonly closes: number;
  private readonly opens: number;
  private readonly closing_s: number;
  private from_s = 0;
  private last_s = 0;

  /** @param pack whose contact is closed */
  constructor(pack: Pick<PackParams, 'contactCloses' | 'contactOpens' | 'bounce_s'>) {
    this.closing_s = pack.bounce_s + RING_S;
    this.closes = pack.contactCloses;
    this.opens = pack.contactOpens;
  }

  /** Takes the sample of one tick. The hand moves at the start of a tick, a sample is taken at its end. */
  see(sample: Float64Array): void {
    const trigger = sample[S.trigger];
    this.edge = 0;
    if (!this.pressed && trigger >= this.closes) {
      this.pressed = true;
      this.driven = false;
      this.edge = 1;
      this.from_s = this.last_s;
      this.list.push({ from_s: this.last_s });
    } else if (this.pressed && trigger < this.opens) {
      this.pressed = false;
      this.edge = -1;
      this.list[this.list.length - 1].to_s = this.last_s;
    }
    const closed = this.list.length > 0 && this.last_s - this.from_s >= this.closing_s;
    if (closed && sample[S.gates] !== 0) this.driven = true;
    this.last_s = sample[S.time];
  }
}
