/** Whether the worker loses time, now or a moment ago: then it needs the machine more than the drawing does. */
import type { Session } from '../session/session.ts';

/** How long one loss counts [ms]. */
const COUNTS_MS = 2000;
/** Up to this pace the plant needs so little of the machine that drawing less would not help it. */
const EASY_PACE = 0.1;

export class Load {
  private lost_s = 0;
  private lost_ms = Number.NEGATIVE_INFINITY;

  losesTime({ record }: Session, now_ms: number): boolean {
    const lost_s = record.headValue('lost_s');
    if (lost_s > this.lost_s) this.lost_ms = now_ms;
    this.lost_s = lost_s;
    return now_ms - this.lost_ms < COUNTS_MS && record.headValue('pace') > EASY_PACE;
  }
}
