/**
 * Counters that wrap, made to run on: the one place for it. A new value is taken to lie within half the range of the last
 * one, ahead or behind (serial number arithmetic as in RFC 1982, from memory).
 */
export class Unwrap {
  private readonly span: number;
  private last = Number.NaN;

  /** @param bits of the counter, 1 to 32 */
  constructor(bits: number) {
    if (!Number.isInteger(bits) || bits < 1 || bits > 32) throw new RangeError(`bits is ${bits}; allowed is 1 to 32`);
    this.span = 2 ** bits;
  }

  /** The value nearest to the one before that reads `wrapped`; the first is taken as it is. Exact up to 2^53. */
  take(wrapped: number): number {
    this.last = Number.isNaN(this.last) ? wrapped : this.last + this.ahead(wrapped);
    return this.last;
  }

  /** How far `wrapped` lies ahead of the last value taken, negative behind it; 0 before the first. Takes nothing. */
  ahead(wrapped: number): number {
    if (Number.isNaN(this.last)) return 0;
    const { span } = this;
    const step = (((wrapped - this.last) % span) + span) % span;
    return step < span / 2 ? step : step - span;
  }

  /** Forgets: the next value is a first one. */
  reset(): void {
    this.last = Number.NaN;
  }
}
