/** When a fault begins: at a time, or when a signal has been beyond a value for long enough. */
import { SIGNAL_INDEX, type SignalId } from '../signals.ts';

export type Begin =
  | { readonly kind: 'at'; readonly at_s: number }
  | {
      readonly kind: 'when';
      readonly signal: SignalId;
      /** Beyond: above or below `value`, SI. */ readonly side: 'above' | 'below';
      readonly value: number;
      /** Not before this moment [s]. */ readonly from_s: number;
      /** Without a break for this long [s]. */ readonly held_s: number;
    };

export class BeginWatch {
  private readonly begin: Begin;
  private since_s = Number.NaN;

  constructor(begin: Begin) {
    this.begin = begin;
  }

  /** True from the tick on that begins at `now_s`, judged by the sample of the tick before. Never throws. */
  due(now_s: number, sample: Float64Array, slack_s: number): boolean {
    const { begin } = this;
    if (begin.kind === 'at') return now_s >= begin.at_s - slack_s;
    if (now_s < begin.from_s - slack_s) return false;
    const seen = sample[SIGNAL_INDEX[begin.signal]];
    const beyond = begin.side === 'above' ? seen > begin.value : seen < begin.value;
    if (!beyond) this.since_s = Number.NaN;
    else if (Number.isNaN(this.since_s)) this.since_s = now_s;
    return beyond && now_s - this.since_s >= begin.held_s - slack_s;
  }
}
