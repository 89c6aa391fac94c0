/** How long it takes from the beginning of a fault until the controller is in a state, or its gates are open. */
import { type CheckKind, type Finding, type Follower, NOW, SINCE, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { TIME } from './unit.ts';

class ReactionTime implements Follower {
  private readonly spec: CheckSpec;
  private since_s = Number.NaN;
  private at_s = Number.NaN;
  private was: boolean | undefined;
  private reached = false;

  constructor(spec: CheckSpec) {
    this.spec = spec;
  }

  before(at: Float64Array): void {
    this.was = holds(this.spec, at[VALUE]);
  }

  see(at: Float64Array): void {
    if (this.reached) return;
    this.reached = holds(this.spec, at[VALUE]);
    this.was ??= this.reached;
    this.since_s = at[SINCE];
    this.at_s = at[NOW];
  }

  finding(): Finding {
    const { reached, since_s: value, at_s } = this;
    if (this.was) return { value: Number.NaN, at_s: Number.NaN, why: 'it was so already when the fault began' };
    return reached ? { value, at_s } : { value, at_s, open: true, note: 'no reaction until the end of the window' };
  }
}

export const REACT: CheckKind = Object.freeze<CheckKind>({
  takes: { 'reaction time': 'time from the beginning of a fault (after fault) until a state, a trip, or open gates' },
  keys: ['state', 'trip', 'gates'],
  needs: [['state', 'trip', 'gates']],
  againstTwin: false,
  fromFault: true,
  unit: () => TIME,
  follow: (spec) => new ReactionTime(spec),
});
