/** What the user of the drill does, tick by tick. The same entries act at the same ticks in every coupling. */
import type { Handling, TimelineEntry } from './scenario.ts';

/** Carries out what a hand does. The trigger may move every tick, everything else changes at its moment. */
export interface Handler {
  handle(change: Handling): void;
}

export class Timeline {
  private readonly entries: readonly TimelineEntry[];
  private readonly tick_s: number;
  private next = 0;
  private trigger = 0;
  private ramp:
    | { readonly from: number; readonly to: number; readonly start: number; readonly ticks: number }
    | undefined;

  /** @param entries in the order of time  @param tick_s PWM period */
  constructor(entries: readonly TimelineEntry[], tick_s: number) {
    this.entries = entries;
    this.tick_s = tick_s;
  }

  /** Nothing is left to be done. */
  get ended(): boolean {
    return this.next >= this.entries.length && !this.ramp;
  }

  /** Call before each tick, with ticks counted up by one: acts out what is due at the start of it. */
  act(tick: number, hands: Handler): void {
    while (this.next < this.entries.length && this.dueTick(this.entries[this.next].at_s) <= tick) {
      const { at_s: _at, over_s, trigger, ...rest } = this.entries[this.next++];
      hands.handle(rest);
      if (trigger !== undefined) {
        this.ramp = { from: this.trigger, to: trigger, start: tick, ticks: Math.max(1, this.dueTick(over_s)) };
        if (over_s === 0) this.ramp = { ...this.ramp, start: tick - 1 };
      }
    }
    if (this.ramp) this.move(tick, this.ramp, hands);
  }

  private move(tick: number, ramp: NonNullable<Timeline['ramp']>, hands: Handler): void {
    const share = (tick - ramp.start) / ramp.ticks;
    this.trigger = share >= 1 ? ramp.to : ramp.from + (ramp.to - ramp.from) * share;
    if (share >= 1) this.ramp = undefined;
    hands.handle({ trigger: this.trigger });
  }

  /** First tick that does not begin before the moment. A millionth of a tick is rounding, not lateness. */
  private dueTick(at_s: number): number {
    return Math.ceil(at_s / this.tick_s - 1e-6);
  }
}
