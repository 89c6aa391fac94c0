/** The part of a run that a check looks at: from one moment to another, or from the beginning of a fault on. */
import { SIGNAL_INDEX } from '../../signals.ts';
import type { CheckSpec } from './spec.ts';

/** Tells when a fault began [s], NaN before. */
export type Began = (order: number) => number;

const NEVER: Began = () => Number.NaN;

export class Window {
  /** Virtual time at which it begins; NaN before that is known. */ begin_s = Number.NaN;
  /** The run has come to its end. */ ended = false;
  private end_s = Number.NaN;
  private readonly spec: CheckSpec;
  private readonly slack_s: number;
  private readonly began: Began;

  /** @param tick_s PWM period; an end counts as reached within half of it */
  constructor(spec: CheckSpec, tick_s: number, began: Began = NEVER) {
    this.spec = spec;
    this.slack_s = tick_s / 2;
    this.began = began;
    if (spec.afterFault === undefined) this.place(0);
  }

  /** Whether a sample belongs to it; call with moments that rise. */
  holds(sample: Float64Array): boolean {
    const now_s = sample[SIGNAL_INDEX.time];
    const { afterFault, from_s } = this.spec;
    if (Number.isNaN(this.begin_s)) {
      const began_s = this.began(afterFault ?? 0);
      if (Number.isNaN(began_s)) return false;
      this.place(began_s);
    }
    if (now_s >= this.end_s - this.slack_s) this.ended = true;
    // The sample at the moment of a fault is the last one before it.
    const early_s = afterFault !== undefined && from_s === 0 ? this.slack_s : -this.slack_s;
    return now_s >= this.begin_s + early_s && now_s <= this.end_s + this.slack_s;
  }

  /** Why there is nothing to judge, '' when there is. */
  get missing(): string {
    const { afterFault } = this.spec;
    if (Number.isNaN(this.begin_s)) return `fault ${(afterFault ?? 0) + 1} never began`;
    return this.ended && this.begin_s <= this.end_s ? '' : 'the run ended before the window';
  }

  private place(zero_s: number): void {
    const { from_s, to_s, runEnd_s = Number.POSITIVE_INFINITY } = this.spec;
    this.begin_s = zero_s + from_s;
    this.end_s = to_s === Number.POSITIVE_INFINITY ? runEnd_s : zero_s + to_s;
  }
}
