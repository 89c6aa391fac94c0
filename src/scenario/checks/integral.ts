/** What a signal adds up to over the window, by the trapezoidal rule. */
import { type CheckKind, type Finding, type Follower, NOW, SINCE, VALUE } from './kind.ts';
import type { CheckSpec, Part } from './spec.ts';
import { integralUnit } from './unit.ts';

const PARTS: Readonly<Record<Part, (value: number) => number>> = {
  value: (value) => value,
  magnitude: Math.abs,
  square: (value) => value * value,
  'above zero': (value) => Math.max(value, 0),
  'below zero': (value) => Math.min(value, 0),
};

class Integral implements Follower {
  private readonly part: (value: number) => number;
  private sum = 0;
  private last = Number.NaN;
  private last_s = Number.NaN;

  constructor({ part = 'value' }: CheckSpec) {
    this.part = PARTS[part];
  }

  see(at: Float64Array): void {
    const now_s = at[NOW];
    const now = this.part(at[VALUE]);
    // Before the first sample of the window nothing is known but that sample.
    if (Number.isNaN(this.last_s)) this.sum = now * at[SINCE];
    else this.sum += 0.5 * (now + this.last) * (now_s - this.last_s);
    this.last = now;
    this.last_s = now_s;
  }

  finding(): Finding {
    return { value: this.sum, at_s: this.last_s };
  }
}

export const INTEGRAL: CheckKind = Object.freeze<CheckKind>({
  takes: {
    integral: 'integral over time of the signal, its magnitude or its square (of), in such units as A·s or A²·s',
  },
  keys: ['signal', 'of'],
  needs: [['signal']],
  againstTwin: true,
  unit: integralUnit,
  follow: (spec) => new Integral(spec),
});
