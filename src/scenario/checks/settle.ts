/** How long it takes from the start of the window until a signal is in a band and stays there to the end of it. */
import { type CheckKind, type Finding, type Follower, NOW, SINCE, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { TIME } from './unit.ts';

class SettlingTime implements Follower {
  private readonly spec: CheckSpec;
  private inside = false;
  private since_s = Number.NaN;
  private at_s = Number.NaN;
  private last_s = Number.NaN;
  private lastAt_s = Number.NaN;

  constructor(spec: CheckSpec) {
    this.spec = spec;
  }

  see(at: Float64Array): void {
    const inside = holds(this.spec, at[VALUE]);
    if (inside && !this.inside) {
      this.since_s = at[SINCE];
      this.at_s = at[NOW];
    }
    this.inside = inside;
    this.last_s = at[SINCE];
    this.lastAt_s = at[NOW];
  }

  finding(): Finding {
    if (this.inside) return { value: this.since_s, at_s: this.at_s };
    return { value: this.last_s, at_s: this.lastAt_s, open: true, note: 'outside at the end of the window' };
  }
}

export const SETTLE: CheckKind = Object.freeze<CheckKind>({
  takes: { 'settling time': 'time until the signal is in a band (above, below, or both) and stays there' },
  keys: ['signal', 'above', 'below'],
  needs: [['signal'], ['above', 'below']],
  againstTwin: true,
  unit: () => TIME,
  follow: (spec) => new SettlingTime(spec),
});
