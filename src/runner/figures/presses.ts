/** When the trigger is pressed beyond its contact, and since when a press has driven the legs. */
import { SIGNAL_INDEX as S } from '../../signals.ts';

export interface Press {
  readonly from_s: number;
  /** End of the press, undefined while it lasts. */ to_s?: number;
}

export class Presses {
  /** All presses so far, in the order of time. */ readonly list: Press[] = [];
  /** The contact is closed by the trigger. */ pressed = false;
  /** A leg has been driven since the last press began; stays so until the next one. */ driven = false;
  /** 1 in the tick in which a press begins, -1 in that in which it ends, else 0. */ edge: -1 | 0 | 1 = 0;
  private readonly closes: number;
  private readonly opens: number;
  private last_s = 0;

  /** @param pack trigger travel at which the contact closes and opens, 0 to 1 */
  constructor(pack: { readonly contactCloses: number; readonly contactOpens: number }) {
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
      this.list.push({ from_s: this.last_s });
    } else if (this.pressed && trigger < this.opens) {
      this.pressed = false;
      this.edge = -1;
      this.list[this.list.length - 1].to_s = this.last_s;
    }
    if (this.list.length > 0 && sample[S.gates] !== 0) this.driven = true;
    this.last_s = sample[S.time];
  }
}
