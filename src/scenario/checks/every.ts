/** Every value stays within the limits: the value with the least room counts. */
import { type CheckKind, type Finding, type Follower, NOW, VALUE } from './kind.ts';
import type { CheckSpec } from './spec.ts';
import { signalUnit } from './unit.ts';

class Every implements Follower {
  private readonly low: number;
  private readonly high: number;
  private room = Number.POSITIVE_INFINITY;
  private value = Number.NaN;
  private at_s = Number.NaN;

  constructor({ atLeast = Number.NEGATIVE_INFINITY, atMost = Number.POSITIVE_INFINITY }: CheckSpec) {
    this.low = atLeast;
    this.high = atMost;
  }

  see(at: Float64Array): void {
    const value = at[VALUE];
    const room = Math.min(this.high - value, value - this.low);
    if (room >= this.room) return;
    this.room = room;
    this.value = value;
    this.at_s = at[NOW];
  }

  finding(): Finding {
    return { value: this.value, at_s: this.at_s };
  }
}

export const EVERY: CheckKind = Object.freeze<CheckKind>({
  takes: { every: 'every value; that with the least room is told' },
  keys: ['signal'],
  needs: [['signal']],
  againstTwin: false,
  unit: signalUnit,
  follow: (spec) => new Every(spec),
});
