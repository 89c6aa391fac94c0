/** The largest deviation from the fault-free twin, tick by tick. */
import { SIGNAL_INDEX } from '../../signals.ts';
import { type CheckKind, type Finding, type Follower, NOW, VALUE } from './kind.ts';
import type { CheckSpec } from './spec.ts';
import { differenceUnit, signalUnit } from './unit.ts';

class Deviation implements Follower {
  private readonly column: number;
  private value = Number.NaN;
  private at_s = Number.NaN;

  constructor({ signal }: CheckSpec) {
    this.column = SIGNAL_INDEX[signal];
  }

  see(at: Float64Array, _sample: Float64Array, twin: Float64Array | undefined): void {
    if (!twin) return;
    const off = Math.abs(at[VALUE] - twin[this.column]);
    if (!(off > this.value) && !Number.isNaN(this.value)) return;
    this.value = off;
    this.at_s = at[NOW];
  }

  finding(): Finding {
    return { value: this.value, at_s: this.at_s };
  }
}

export const DEVIATION: CheckKind = Object.freeze<CheckKind>({
  takes: { deviation: 'largest deviation of the signal from the fault-free twin at one moment' },
  keys: ['signal'],
  needs: [['signal']],
  againstTwin: true,
  unit: (spec) => differenceUnit(signalUnit(spec)),
  follow: (spec) => new Deviation(spec),
});
