/** Numbers without order, the same in every run: xorshift of 32 bits (G. Marsaglia, Journal of Statistical Software 8(14), 2003, from memory). */
export class Noise {
  private state: number;

  constructor(seed: number) {
    this.state = seed >>> 0 || 1;
  }

  /** Whole number from 0 to below `limit`. */
  below(limit: number): number {
    let x = this.state;
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    this.state = x >>> 0;
    return this.state % limit;
  }

  bytes(count: number): Uint8Array {
    return Uint8Array.from({ length: count }, () => this.below(256));
  }
}
