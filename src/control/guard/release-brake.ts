/**
 * What the legs do after the trigger was released, with a supply contact that is open by then.
 *
 * Model   fast rotor: legs open, it coasts. Its EMF between the phases stays below a healthy link, so it drives nothing into
 *         the link, while braking it electrically would: the contact is open, and a millifarad takes no rotor energy.
 *         Slow rotor: all low sides on. The short burns what the rotor has left in the copper and takes nothing from the link
 *         and gives it nothing. It begins only where the short current stays clear of the over-current limit.
 *         At rest: legs open, once the short has lasted REST_S beyond standstill.
 * Link    opening the short while current flows empties the winding into the link. So above MARK_V a cell it stays shorted,
 *         whatever else would end it, except for a trip.
 * Source  short-circuit torque and current: physics of the machine; that it is used at low speed only: common practice,
 *         from memory.
 */

/** Share of the top speed below which the winding is shorted. */
export const SHORT_SHARE = 0.1;
/** Time of the short beyond standstill [s]. */
export const REST_S = 0.1;
/** Link voltage a cell above which an existing short is kept [V]. */
export const MARK_V = 4.5;

export class ReleaseBrake {
  /** 1 while all low sides are to be on. */ shorted = 0;
  private armed = 0;
  private still_s = 0;
  private readonly mark_V: number;

  /** @param cells lithium cells in series */
  constructor(cells: number) {
    this.mark_V = MARK_V * cells;
  }

  reset(): void {
    this.shorted = 0;
    this.armed = 0;
    this.still_s = 0;
  }

  /** The motor is driven: a release may brake it afterwards. */
  drive(): void {
    this.shorted = 0;
    this.armed = 1;
    this.still_s = 0;
  }

  /**
   * Takes one tick after the release.
   *
   * @param slow  1 when the speed is below SHORT_SHARE for certain @param still 1 at standstill
   */
  update(slow: number, still: number, link_V: number, elapsed_s: number): void {
    if (this.armed === 0) return;
    if (this.shorted === 0) {
      this.shorted = slow;
      return;
    }
    this.still_s = still === 1 ? this.still_s + elapsed_s : 0;
    if (this.still_s > REST_S && link_V < this.mark_V) this.reset();
  }
}
