/** Numbers that both sides of a link must know. */

/** Version that Greet and Hello carry; raised when an older board could misread a frame. */
export const PROTOCOL_VERSION = 3;
/**
 * Longest payload of any frame but Hello [bytes]. A receiver takes a longer frame than it knows up to here and reads the
 * part it knows; no frame ever grows beyond it.
 */
export const PAYLOAD_MOST = 204;
/** Most watch values that a Drive or Report carries. */
export const WATCH_MOST = 32;
/** Longest text of a Note or Refuse [bytes]. */
export const TEXT_MOST = 200;
/** Reading of a sensor that the board does not have. */
export const NOT_FITTED = 0xffff;
/** Hall age that means "this long or longer". */
export const HALL_AGE_MOST = 0xffff;
/** Time of one count of `hallAge` [s]. */
export const HALL_AGE_COUNT_S = 1e-8;
/** Duty count of a high side that is on all period. */
export const DUTY_FULL = 32768;
/** Time of one count of `busy` [s]. */
export const BUSY_COUNT_S = 1e-7;
/** Most frames that a board may let the drill have unanswered. */
export const CREDITS_MOST = 64;
