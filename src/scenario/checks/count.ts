/** How often something happens in the window: a condition begins to hold, a level is crossed, a value changes. */
import { type CheckKind, type Finding, type Follower, NOW, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { COUNT } from './unit.ts';

/** Counts steps of the value that `side` gives: entries count steps up to 1, everything else any step. */
class Count implements Follower {
  private readonly spec: CheckSpec;
  private readonly low: number;
  private readonly high: number;
  private last = Number.NaN;
  private count = 0;
  private at_s = Number.NaN;

  constructor(spec: CheckSpec) {
    this.spec = spec;
    const { through = 0, play = 0 } = spec;
    this.low = through - play / 2;
    this.high = through + play / 2;
  }

  see(at: Float64Array): void {
    const now = this.side(at[VALUE]);
    const before = this.last;
    this.last = now;
    // What holds when the window begins has begun before it.
    if (Number.isNaN(before) || now === before) return;
    if (this.spec.take === 'entries' && now === 0) return;
    this.count++;
    this.at_s = at[NOW];
  }

  finding(): Finding {
    return { value: this.count, at_s: this.at_s };
  }

  private side(value: number): number {
    if (this.spec.take === 'changes') return value;
    if (this.spec.take === 'entries') return holds(this.spec, value) ? 1 : 0;
    return value > this.high ? 1 : value < this.low ? 0 : this.last;
  }
}

const common = { againstTwin: true, unit: () => COUNT, follow: (spec: CheckSpec) => new Count(spec) } as const;

export const ENTRIES: CheckKind = Object.freeze<CheckKind>({
  ...common,
  takes: { entries: 'how often the signal comes above or below a value, or the controller into a state' },
  keys: ['signal', 'above', 'below', 'state', 'trip', 'gates'],
  needs: [
    ['signal', 'state', 'trip', 'gates'],
    ['above', 'below', 'state', 'trip', 'gates'],
  ],
});

export const CROSSINGS: CheckKind = Object.freeze<CheckKind>({
  ...common,
  takes: { crossings: 'how often the signal passes through a value, either way' },
  keys: ['signal', 'through', 'play'],
  needs: [['signal'], ['through']],
});

export const CHANGES: CheckKind = Object.freeze<CheckKind>({
  ...common,
  takes: { changes: 'how often the value is another one than the tick before, such as edges of the Hall code' },
  keys: ['signal'],
  needs: [['signal']],
});
