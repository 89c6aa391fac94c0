/**
 * The screwdriver bit in the recess: it holds so much, more when pushed, and beyond that it rides out and jumps over.
 *
 * Model   between two places where it catches the torque falls along a short flank and rises along a long one.
 *         While it rides the chuck turns and the screw does not.
 * Source  that it needs push and jumps over is what every user knows; common practice, no source.
 */
import type { BitParams } from '../params.ts';
import { slot } from '../slots.ts';

const PUSH = slot('push');
const RIDE = slot('bitRide');
const JUMPS = slot('bitJumps');
const TURN = 6.283185307179586;
/** Part of the way between two catches over which the torque falls. */
const FALL = 0.2;

/** Torque that the bit holds at its present place in the recess [N·m]. */
export function bitHolds_Nm(x: Float64Array, p: BitParams): number {
  const full = p.hold_Nm + p.push_m * x[PUSH];
  const place = x[RIDE] < 0 ? -x[RIDE] : x[RIDE];
  const height = place < FALL ? 1 - place / FALL : (place - FALL) / (1 - FALL);
  return full * (p.slipShare + (1 - p.slipShare) * height);
}

/** The chuck has turned in the recess; at the next catch the bit sits again. */
export function rideBit(x: Float64Array, turned_rad: number, p: BitParams): void {
  x[RIDE] += (turned_rad * p.corners) / TURN;
  if (x[RIDE] < 1 && x[RIDE] > -1) return;
  x[RIDE] = 0;
  x[JUMPS] += 1;
}
