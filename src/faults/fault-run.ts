/** One ordered fault under way: whether it has begun or ended, and which share of its size is in force. Numbers only. */
import { BeginWatch } from './condition.ts';
import type { CheckedOrder } from './order.ts';
import { ShapeRun } from './shape.ts';

export class FaultRun {
  readonly order: CheckedOrder;
  /** Moment at which it began [s], NaN before. */ began_s = Number.NaN;
  ended = false;
  /** 0 to 1; 0 while it is not there. */ share = 0;
  private readonly begin: BeginWatch;
  private readonly shape: ShapeRun;

  /** @param order found to be allowed @param seed from which an intermittent fault draws, 0 to 2^32 - 1 */
  constructor(order: CheckedOrder, seed: number) {
    this.order = order;
    this.begin = new BeginWatch(order.begin);
    this.shape = new ShapeRun(order.shape, seed);
  }

  /**
   * Before a tick; true when its share has changed. Never throws.
   *
   * @param sample signals after the tick before @param slack_s half a tick
   */
  move(now_s: number, slack_s: number, sample: Float64Array): boolean {
    if (this.ended) return false;
    if (Number.isNaN(this.began_s)) {
      if (!this.begin.due(now_s, sample, slack_s)) return false;
      this.began_s = now_s;
    }
    const since_s = now_s - this.began_s;
    this.ended = this.order.for_s !== undefined && since_s >= this.order.for_s - slack_s;
    const share = this.ended ? 0 : this.shape.share(since_s);
    const changed = share !== this.share;
    this.share = share;
    return changed;
  }
}
