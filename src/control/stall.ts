/**
 * Stall: at the current limit and not turning for too long. The current then falls to a holding value, until the
 * chuck turns again or the trigger is released. At standstill one phase carries the whole copper loss; half a second
 * at the limit costs about 10 K (from memory, common practice).
 */

/** Below this motor speed the chuck counts as locked [rad/s]. */
const LOCKED_RAD_S = 15;
/** Above this one, in the driven direction, it turns again [rad/s] ... */
const TURNS_RAD_S = 60;
/** ... when it does for this long [s]; the wound-up gear throws the rotor to and fro for less. */
const TURNS_FOR_S = 0.05;

export class Stall {
  /** 1 while holding. */ holding = 0;
  private time_s = 0;

  reset(): void {
    this.holding = 0;
    this.time_s = 0;
  }

  /** Takes one tick. @param speed_rad_s motor speed in the driven direction @param atLimit 1 while at the limit */
  update(speed_rad_s: number, atLimit: number, elapsed_s: number, stallTime_s: number): void {
    if (this.holding === 1) {
      this.time_s = speed_rad_s > TURNS_RAD_S ? this.time_s + elapsed_s : 0;
      if (this.time_s > TURNS_FOR_S) this.reset();
    } else {
      const locked = atLimit === 1 && Math.abs(speed_rad_s) < LOCKED_RAD_S;
      this.time_s = locked ? this.time_s + elapsed_s : 0;
      if (this.time_s > stallTime_s) {
        this.holding = 1;
        this.time_s = 0;
      }
    }
  }
}
