/** What a person did, and when it took effect: enough to go through a run again. */
import type { DeedDone } from './past-api.ts';

/** Most deeds of a run; a hand that never rests does so many in about an hour. The start of the run is lost after that. */
const MOST = 200_000;

export class DeedLog {
  private readonly ticks: number[] = [];
  private readonly deeds: DeedDone[] = [];
  private next = 0;
  /** Every deed since the run began is here. */ whole = true;

  get count(): number {
    return this.deeds.length;
  }

  /** How many of them have been done at the present tick. */
  get place(): number {
    return this.next;
  }

  set place(place: number) {
    this.next = place;
  }

  /** Deeds are there that have not been done yet. */
  get pending(): boolean {
    return this.next < this.deeds.length;
  }

  /** Notes a deed at the present tick. Nothing may stand after it: a run that goes on anew has been cut before. */
  add(tick: number, deed: DeedDone): void {
    if (this.deeds.length >= MOST) {
      this.ticks.splice(0, MOST / 2);
      this.deeds.splice(0, MOST / 2);
      this.whole = false;
    }
    this.ticks.push(tick);
    this.deeds.push(deed);
    this.next = this.deeds.length;
  }

  /** Where the log stands at the start of a tick: before every deed of it. */
  seek(tick: number): void {
    let low = 0;
    let high = this.ticks.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (this.ticks[middle] < tick) low = middle + 1;
      else high = middle;
    }
    this.next = low;
  }

  /** The next deed that is due at this tick, undefined when there is none. */
  due(tick: number): DeedDone | undefined {
    return this.next < this.deeds.length && this.ticks[this.next] <= tick ? this.deeds[this.next++] : undefined;
  }

  /** Forgets what has not been done yet. */
  cut(): void {
    this.ticks.length = this.next;
    this.deeds.length = this.next;
  }

  /** The deeds so far, for going through them elsewhere. */
  copy(): DeedLog {
    const copy = new DeedLog();
    copy.ticks.push(...this.ticks);
    copy.deeds.push(...this.deeds);
    copy.whole = this.whole;
    return copy;
  }
}
