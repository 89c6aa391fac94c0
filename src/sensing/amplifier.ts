/**
 * Current amplifier behind a low-side shunt: where its output stands a while after the low side began to conduct.
 *
 * Model   first order with a slew limit. Far from its goal the output moves at the slew rate, from slew times time constant on
 *         exponentially; it starts at zero, because the shunt of a high leg carries nothing. A duty so high that the low
 *         side conducts for a moment only is thus read low: nobody tells the board.
 */
import { exponential } from '../units/elementary.ts';

/** Time constants after which nothing is left of the approach. */
const LONG = 40;

/** Output [V] at t_s after a step from 0 to goal_V. */
export function settled_V(goal_V: number, t_s: number, settle_s: number, slew_V_s: number): number {
  if (t_s <= 0) return 0;
  const size = goal_V < 0 ? -goal_V : goal_V;
  const near = slew_V_s * settle_s;
  const slewing = size > near ? (size - near) / slew_V_s : 0;
  if (t_s < slewing) return (goal_V < 0 ? -slew_V_s : slew_V_s) * t_s;
  const left = settle_s > 0 ? (t_s - slewing) / settle_s : LONG;
  if (left >= LONG) return goal_V;
  const rest = (slewing > 0 ? near : size) * exponential(-left);
  return goal_V < 0 ? rest - size : size - rest;
}
