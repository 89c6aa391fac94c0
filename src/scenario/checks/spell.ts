/** The longest time at a stretch for which a condition holds: never beyond a value for longer than that. */
import { type CheckKind, type Finding, type Follower, NOW, type RunOf, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { TIME } from './unit.ts';

class LongestSpell implements Follower {
  private readonly spec: CheckSpec;
  private readonly tick_s: number;
  private run = 0;
  private longest = 0;
  private at_s = Number.NaN;

  constructor(spec: CheckSpec, { tick_s }: RunOf) {
    this.spec = spec;
    this.tick_s = tick_s;
  }

  see(at: Float64Array): void {
    this.run = holds(this.spec, at[VALUE]) ? this.run + 1 : 0;
    if (this.run <= this.longest) return;
    this.longest = this.run;
    this.at_s = at[NOW];
  }

  finding(): Finding {
    return { value: this.longest * this.tick_s, at_s: this.at_s };
  }
}

export const SPELL: CheckKind = Object.freeze<CheckKind>({
  takes: {
    'longest spell':
      'longest time at a stretch for which the signal is above or below a value, or the controller in a state',
  },
  keys: ['signal', 'above', 'below', 'state', 'trip', 'gates'],
  needs: [
    ['signal', 'state', 'trip', 'gates'],
    ['above', 'below', 'state', 'trip', 'gates'],
  ],
  againstTwin: true,
  unit: () => TIME,
  follow: (spec, run) => new LongestSpell(spec, run),
});
