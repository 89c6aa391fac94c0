/** One number of the window: its largest, smallest or last value, its peak, its mean. */
import { type CheckKind, type Finding, type Follower, NOW, VALUE } from './kind.ts';
import type { CheckSpec } from './spec.ts';
import { signalUnit } from './unit.ts';

class NumberOf implements Follower {
  private readonly take: CheckSpec['take'];
  private value = Number.NaN;
  private at_s = Number.NaN;
  private sum = 0;
  private count = 0;

  constructor({ take }: CheckSpec) {
    this.take = take;
  }

  see(at: Float64Array): void {
    const value = at[VALUE];
    const { take } = this;
    this.sum += value;
    const kept =
      this.count++ === 0 ||
      take === 'mean' ||
      take === 'last' ||
      (take === 'largest' && value > this.value) ||
      (take === 'smallest' && value < this.value) ||
      (take === 'peak' && Math.abs(value) > Math.abs(this.value));
    if (!kept) return;
    this.value = take === 'mean' ? this.sum / this.count : value;
    this.at_s = at[NOW];
  }

  finding(): Finding {
    const { take, value, at_s } = this;
    return { value: take === 'peak' ? Math.abs(value) : value, at_s };
  }
}

export const NUMBER: CheckKind = Object.freeze<CheckKind>({
  takes: {
    largest: 'largest value',
    smallest: 'smallest value',
    peak: 'largest magnitude',
    mean: 'mean',
    last: 'value at the end of the window',
  },
  keys: ['signal'],
  needs: [['signal']],
  againstTwin: true,
  unit: signalUnit,
  follow: (spec) => new NumberOf(spec),
});
