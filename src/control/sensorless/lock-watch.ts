/**
 * Is the estimated angle still that of the rotor? The error of a tracker cannot say so: it stays small when it follows nothing.
 *
 * Scheme  at speed: the flux along the magnet is not the one expected; a lost angle swings it by half and more, a wrong polarity takes
 *         it to once or twice. At standstill: the answer to the injection along d is not that of the d axis. Always: current far
 *         from its reference, or a speed that no such motor has.
 * Source  derived from the observer's error equation; limits found by trial (common practice, no source).
 */
const ALONG_MOST = 0.4;
const ALONG_BAND = 333;
/** The flux says something once the EMF is above this [V]. */
const EMF_LEAST_V = 0.3;
const MATCH_LOW = 0.7;
const MATCH_HIGH = 1.4;
const MATCH_BAND = 200;
const OFF_MOST_A = 35;
const OFF_TICKS = 60;
const FAST_SHARE = 1.4;

export class LockWatch {
  private readonly tick_s: number;
  private readonly lambda: number;
  private readonly fastest: number;
  private along = 0;
  private match = 1;
  private off = 0;

  constructor(tick_s: number, lambda_Wb: number, top_rad_s: number) {
    this.tick_s = tick_s;
    this.lambda = lambda_Wb;
    this.fastest = FAST_SHARE * top_rad_s;
  }

  reset(): void {
    this.along = 0;
    this.match = 1;
    this.off = 0;
  }

  /** One tick; true when the angle is lost. `match` is only asked for while injecting. */
  lost(w_rad_s: number, along: number, match: number, injecting: boolean, off_A: number): boolean {
    const emf = (w_rad_s < 0 ? -w_rad_s : w_rad_s) * this.lambda;
    const size = along < 0 ? -along : along;
    const t = this.tick_s;
    this.along += t * ALONG_BAND * ((emf > EMF_LEAST_V ? size : 0) - this.along);
    this.match += t * MATCH_BAND * ((injecting ? match : 1) - this.match);
    this.off = off_A > OFF_MOST_A ? this.off + 1 : 0;
    // Asked the other way round, so that a number that is none counts as lost.
    const held =
      this.along <= ALONG_MOST &&
      this.match >= MATCH_LOW &&
      this.match <= MATCH_HIGH &&
      this.off <= OFF_TICKS &&
      w_rad_s <= this.fastest &&
      w_rad_s >= -this.fastest;
    return !held;
  }
}
