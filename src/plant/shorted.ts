/**
 * Shorted turns in phase A: a share of them makes a loop of its own through the short.
 *
 * Model   the loop links the same share m of the flux of the phase, and sees its share of the winding resistance R:
 *         L di/dt + r i = m (d psi_a/dt + R i_a) with r = r_short + m R. Its current i counts against the phase: the field
 *         belongs to i_a - m i. L is what the two do not share, a part of the self-inductance of those turns.
 * Scheme  trapezoidal, in kernel.ts. A loop faster than a step is slowed to two steps: at that the current is what
 *         m e / r says, and next to none in number.
 * Source  two-winding model of an inter-turn fault with its loop as one more circuit; derived here from Kirchhoff and the
 *         field energy, the shared part from memory.
 */
import type { WindingParams } from './params.ts';
import { slot } from './slots.ts';
import { work } from './work.ts';

/** What the shorted turns do not share with the rest, over their self-inductance; illustrative. */
const LEAK = 0.2;
/** Copper at its hottest over copper at 20 degrees: the slowing covers it. */
const HOT = 1.7;

const WISH = slot('turnsShorted');
const SHORT_OHM = slot('shortOhm');
const IN = slot('turnsIn');
const HENRY = slot('loopHenry');
const CURRENT = slot('loopCurrent');
const I_A = slot('iAlpha');
const COPPER = slot('lossCopper');
const OHM = work('windingOhm');
const LONGEST = work('longest');
const TURNS = work('turns');
const LOOP_OHM = work('loopOhm');

/** Start of an update: takes a new fault, or its end, into force, and the resistance of the loop as warm as it is. */
export function beginShorted(x: Float64Array, w: Float64Array, p: WindingParams): void {
  const m = x[WISH];
  if (x[IN] !== m) {
    // What the loop had stored ends in the arc of the change.
    x[COPPER] += 0.5 * x[HENRY] * x[CURRENT] * x[CURRENT];
    x[I_A] -= (2 / 3) * x[IN] * x[CURRENT];
    x[CURRENT] = 0;
    x[IN] = m;
    const slowest = 2 * w[LONGEST] * (x[SHORT_OHM] + HOT * m * p.r_ohm);
    x[HENRY] = m > 0 ? Math.max(LEAK * m * m * p.ld_H, slowest) : 0;
  }
  w[TURNS] = m;
  w[LOOP_OHM] = x[SHORT_OHM] + m * w[OHM];
}
