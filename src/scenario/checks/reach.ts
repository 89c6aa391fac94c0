/** How long it takes from the start of the window until a signal is beyond a level. */
import { type CheckKind, type Finding, type Follower, NOW, SINCE, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { TIME } from './unit.ts';

class TimeToReach implements Follower {
  private readonly spec: CheckSpec;
  private since_s = Number.NaN;
  private at_s = Number.NaN;
  private reached = false;

  constructor(spec: CheckSpec) {
    this.spec = spec;
  }

  see(at: Float64Array): void {
    if (this.reached) return;
    this.reached = holds(this.spec, at[VALUE]);
    this.since_s = at[SINCE];
    this.at_s = at[NOW];
  }

  finding(): Finding {
    const { reached, since_s: value, at_s } = this;
    return reached ? { value, at_s } : { value, at_s, open: true, note: 'not reached until the end of the window' };
  }
}

export const REACH: CheckKind = Object.freeze<CheckKind>({
  takes: { 'time to reach': 'time from the start of the window until the signal is above or below a value' },
  keys: ['signal', 'above', 'below'],
  needs: [['signal'], ['above', 'below']],
  againstTwin: true,
  unit: () => TIME,
  follow: (spec) => new TimeToReach(spec),
});
