/**
 * Stall: near the current limit and not turning for too long. The current then falls to a holding value, until the
 * chuck turns again or the trigger is released. At standstill one phase carries the whole copper loss; half a second
 * at the limit costs about 10 K (from memory, common practice).
 */

/** Below this share of the top speed the chuck counts as locked. */
export const LOCKED_SHARE = 0.02;
/** Above this one, in the driven direction, it turns again ... */
export const TURNS_SHARE = 0.03;
/** ... when it does for this long [s]; the wound-up gear throws the rotor to and fro for less. */
export const TURNS_FOR_S = 0.05;
/** Share of the limit above which the current counts as full. */
export const STRAINS_SHARE = 0.8;

export class Stall {
  /** 1 while holding. */ holding = 0;
  private time_s = 0;
  private readonly top_rad_s: number;
  private readonly stallTime_s: number;

  /** @param top_rad_s speed at full trigger, in the unit of update() @param stallTime_s time that makes a stall */
  constructor(top_rad_s: number, stallTime_s: number) {
    this.top_rad_s = top_rad_s;
    this.stallTime_s = stallTime_s;
  }

  reset(): void {
    this.holding = 0;
    this.time_s = 0;
  }

  /**
   * Takes one tick.
   *
   * @param speed_rad_s measured or estimated speed in the driven direction
   * @param current_A   current asked for or measured @param limit_A limit in force; while holding neither is looked at
   */
  update(speed_rad_s: number, current_A: number, limit_A: number, elapsed_s: number): void {
    if (this.holding === 1) {
      this.time_s = speed_rad_s > TURNS_SHARE * this.top_rad_s ? this.time_s + elapsed_s : 0;
      if (this.time_s > TURNS_FOR_S) this.reset();
    } else {
      const stands = Math.abs(speed_rad_s) < LOCKED_SHARE * this.top_rad_s;
      this.time_s = stands && current_A >= STRAINS_SHARE * limit_A ? this.time_s + elapsed_s : 0;
      if (this.time_s > this.stallTime_s) {
        this.holding = 1;
        this.time_s = 0;
      }
    }
  }
}
