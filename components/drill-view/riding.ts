/** Tells that something jumps or slips: a number that has changed within the last moments of virtual time. */

/** So long is a jump shown [s]. */
const SHOWN_S = 0.15;
/** A step of a count or of an angle below this is rounding. */
const LEAST = 1e-3;

export class Riding {
  private last = Number.NaN;
  private until_s = Number.NEGATIVE_INFINITY;

  /** Takes the present number; true while its last change is fresh. A time that went back begins anew. */
  note(value: number, time_s: number): boolean {
    if (this.until_s > time_s + SHOWN_S) this.until_s = Number.NEGATIVE_INFINITY;
    if (Math.abs(value - this.last) > LEAST) this.until_s = time_s + SHOWN_S;
    this.last = value;
    return time_s < this.until_s;
  }
}
