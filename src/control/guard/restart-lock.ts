/**
 * No start by itself: after a boot under a pressed trigger, or after a trip, the trigger has to be released once.
 *
 * Rule    the supply contact belongs to the trigger, so every press boots the controller with the trigger under way. Contact,
 *         bounce and charging of the link are over within some 2 ms; a finger needs 20 ms and more for the whole travel, so a
 *         press shows less than 0.2 of it in the first frame. A first frame above DEEP_TRAVEL is therefore no press: the supply
 *         broke down under a held trigger and came back. Travel within the dead band then unlocks.
 * Limits  DEEP_TRAVEL lies at twice what a finger reaches by then. A supply that breaks down while the trigger is held less deep is
 *         not told from a press.
 * Source  a tool must not start by itself when its supply returns: common practice, from memory; travel and times are illustrative.
 */

/** Travel in the first frame after a boot above which that frame is no press. */
export const DEEP_TRAVEL = 0.45;
/** Travel that counts as released: within the dead band. */
export const RELEASED_TRAVEL = 0.045;

export class RestartLock {
  /** 1 while the trigger has to be released first. */ locked = 0;
  private first = 1;
  private readonly deep: number;

  /** @param deepTravel travel in the first frame above which it locks, 0 to 1 */
  constructor(deepTravel = DEEP_TRAVEL) {
    this.deep = deepTravel;
  }

  /** A boot: the next frame is the first one. */
  reset(): void {
    this.locked = 0;
    this.first = 1;
  }

  /** Demands a release, as after a trip that ends without a boot. */
  lock(): void {
    this.locked = 1;
  }

  /** Takes the travel of one tick, 0 to 1. */
  update(travel: number): void {
    if (this.first === 1 && travel > this.deep) this.locked = 1;
    this.first = 0;
    if (travel < RELEASED_TRAVEL) this.locked = 0;
  }
}
