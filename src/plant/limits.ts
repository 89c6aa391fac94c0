/** Limits of the stepping that are no physics. */

/** Stretches shorter than this carry no current change that a converter could see [s]. */
export const SHORTEST_S = 1e-11;
/** Most changes of diode or avalanche modes within one stretch; more can only be rounding at a bound. */
export const BOUND_EVENTS = 12;
