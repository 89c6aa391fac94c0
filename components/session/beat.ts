/** The page's slow beat: what renews now and then does so in one frame with the rest, so that it is laid out and painted once. */

/**
 * Whether another interval has begun since something renewed last. Intervals of one length begin at the same moments for all.
 *
 * @param now_ms @param before_ms of one clock; @param each_ms length of an interval
 */
export const beats = (now_ms: number, before_ms: number, each_ms: number): boolean =>
  Math.floor(now_ms / each_ms) > Math.floor(before_ms / each_ms);
