/** What a step of a lesson sets, in words: nothing is set that is not said. */
import type { BenchInfo } from '../../worker/api.ts';
import { builtInName } from '../controller-sheet/words.ts';
import { WORDS as HANDS } from '../hand-bar/words.ts';
import type { Phase, Step } from '../lessons/lesson.ts';
import { freezeText } from '../time-rail/freeze-text.ts';
import { LESSON_WORDS as WORDS } from './words.ts';

export const paceText = (pace: number): string => (pace === 1 ? WORDS.life : WORDS.slower(Math.round(1 / pace)));

/** @param faultName of the catalogue, by id */
export function setsText(step: Step, info: BenchInfo, faultName: (id: string) => string): string {
  const phases = step.phases.map((phase) => phaseText(phase, info, faultName));
  return `${builtInName(step.controller)}; ${phases.join(`; ${WORDS.andThen} `)}.`;
}

function phaseText({ hands = {}, fault, pace, until }: Phase, info: BenchInfo, faultName: (id: string) => string) {
  const { gear, direction, meets, grip_Nm, wrist, trigger } = hands;
  const parts: string[] = [];
  if (gear !== undefined) parts.push(WORDS.gear(gear));
  if (direction !== undefined)
    parts.push(direction === 0 ? HANDS.directions.locked : direction > 0 ? HANDS.directions.in : HANDS.directions.out);
  if (meets !== undefined) parts.push((HANDS.loads[info.loads[meets]] ?? info.loads[meets]).toLowerCase());
  if (grip_Nm !== undefined && grip_Nm > 0) parts.push(WORDS.grips(grip_Nm));
  if (wrist === 0) parts.push(WORDS.vice);
  if (trigger !== undefined) parts.push(WORDS.trigger(Math.round(trigger * 100)));
  if (fault) parts.push(WORDS.fault(faultName(fault.fault)));
  parts.push(WORDS.at(paceText(pace)), WORDS.until(freezeText({ ...until, pre_s: 0 }, info)));
  return parts.join(', ');
}
