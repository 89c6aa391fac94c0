/** Whether the window ends in a state: for how long without a break it has been so, or, negative, has not been so any more. */
import { type CheckKind, type Finding, type Follower, NOW, type RunOf, VALUE } from './kind.ts';
import { type CheckSpec, holds } from './spec.ts';
import { codeText } from './status.ts';
import { TIME } from './unit.ts';

class EndState implements Follower {
  private readonly spec: CheckSpec;
  private readonly tick_s: number;
  private ticks = 0;
  private at_s = Number.NaN;
  private last = Number.NaN;

  constructor(spec: CheckSpec, { tick_s }: RunOf) {
    this.spec = spec;
    this.tick_s = tick_s;
  }

  see(at: Float64Array): void {
    const inIt = holds(this.spec, at[VALUE]);
    const same = inIt === this.ticks > 0 && this.ticks !== 0;
    if (!same) this.at_s = at[NOW];
    this.ticks = (same ? this.ticks : 0) + (inIt ? 1 : -1);
    this.last = at[VALUE];
  }

  finding(): Finding {
    const { spec, last, ticks, at_s, tick_s } = this;
    const note = Number.isNaN(last) || ticks > 0 ? '' : `it ended in ${codeText(spec.signal, last)}`;
    return { value: Number.isNaN(last) ? last : ticks * tick_s, at_s, note };
  }
}

export const END_STATE: CheckKind = Object.freeze<CheckKind>({
  takes: {
    'end state':
      'time for which the controller has been in a state at the end of the window; negative: time since it was not. 0 s at least when no limit is named',
  },
  keys: ['state', 'trip', 'gates'],
  needs: [['state', 'trip', 'gates']],
  usual: { atLeast: 0 },
  againstTwin: false,
  unit: () => TIME,
  follow: (spec, run) => new EndState(spec, run),
});
