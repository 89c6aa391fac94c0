/** How long it takes from the beginning of a fault until the controller is in a state, or its gates are open. */
import type { CheckKind, Finding, Follower } from './kind.ts';
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

  before(value: number): void {
    this.was = holds(this.spec, value);
  }

  see(value: number, now_s: number, since_s: number): void {
    if (this.reached) return;
    this.reached = holds(this.spec, value);
    this.was ??= this.reached;
    this.since_s = since_s;
    this.at_s = now_s;
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
