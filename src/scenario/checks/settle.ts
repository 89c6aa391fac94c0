/** How long it takes from the start of the window until a signal is in a band and stays there to the end of it. */
import type { CheckKind, Finding, Follower } from './kind.ts';
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

  see(value: number, now_s: number, since_s: number): void {
    const inside = holds(this.spec, value);
    if (inside && !this.inside) {
      this.since_s = since_s;
      this.at_s = now_s;
    }
    this.inside = inside;
    this.last_s = since_s;
    this.lastAt_s = now_s;
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
