/** Rows of all signals at a fixed spacing of ticks; the last ones are kept, so that a loss can be looked at. */
import { SIGNALS } from '../signals.ts';

/** Rows a second that a recording keeps [1/s]. */
export const RECORD_RATE_HZ = 1000;

export class LastRows {
  private readonly rows: Float64Array;
  private readonly most: number;
  private count = 0;

  /** @param most rows kept, 1 or more */
  constructor(most: number) {
    this.most = most;
    this.rows = new Float64Array(most * SIGNALS.length);
  }

  push(sample: Float64Array): void {
    this.rows.set(sample, (this.count % this.most) * SIGNALS.length);
    this.count++;
  }

  /** Copies of the rows, oldest first. */
  list(): Float64Array[] {
    const kept = Math.min(this.count, this.most);
    return Array.from({ length: kept }, (_, k) => {
      const place = ((this.count - kept + k) % this.most) * SIGNALS.length;
      return this.rows.slice(place, place + SIGNALS.length);
    });
  }
}
