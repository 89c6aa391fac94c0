/** Straight line through values taken tick by tick, and the mean of a second value over the same ticks. */
export class Slope {
  ticks = 0;
  private time = 0;
  private square = 0;
  private value = 0;
  private product = 0;
  private other = 0;

  reset(): void {
    this.ticks = 0;
    this.time = 0;
    this.square = 0;
    this.value = 0;
    this.product = 0;
    this.other = 0;
  }

  add(value: number, other: number): void {
    const n = this.ticks;
    this.time += n;
    this.square += n * n;
    this.value += value;
    this.product += n * value;
    this.other += other;
    this.ticks = n + 1;
  }

  /** Rise of the value a tick; 0 with fewer than two. */
  get perTick(): number {
    const n = this.ticks;
    const spread = n * this.square - this.time * this.time;
    return spread > 0 ? (n * this.product - this.time * this.value) / spread : 0;
  }

  get meanValue(): number {
    return this.ticks > 0 ? this.value / this.ticks : 0;
  }

  get meanOther(): number {
    return this.ticks > 0 ? this.other / this.ticks : 0;
  }
}
