/** One number of the window: its largest, smallest or last value, its peak, its mean. */
import type { CheckKind, Finding, Follower } from './kind.ts';
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

  see(value: number, now_s: number): void {
    const { take } = this;
    const first = this.count++ === 0;
    this.sum += value;
    if (take === 'mean') this.keep(this.sum / this.count, now_s);
    else if (first || take === 'last') this.keep(value, now_s);
    else if (take === 'largest' && value > this.value) this.keep(value, now_s);
    else if (take === 'smallest' && value < this.value) this.keep(value, now_s);
    else if (take === 'peak' && Math.abs(value) > Math.abs(this.value)) this.keep(value, now_s);
  }

  finding(): Finding {
    const { take, value, at_s } = this;
    return { value: take === 'peak' ? Math.abs(value) : value, at_s };
  }

  private keep(value: number, now_s: number): void {
    this.value = value;
    this.at_s = now_s;
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
