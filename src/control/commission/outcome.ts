/** What a procedure answers each tick. */
export const GOING_ON = 0;
export const FINISHED = 1;
/** The reason stands in `trouble` of the procedure. */
export const REJECTED = 2;
