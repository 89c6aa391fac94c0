/** What a step of a lesson sets, in words: nothing is set that is not said. */

import { unitSymbol } from '../../src/units/convert.ts';
import type { BenchInfo, FaultAsk, FaultRow } from '../../worker/api.ts';
import { builtInName } from '../controller-sheet/words.ts';
import { WORDS as HANDS } from '../hand-bar/words.ts';
import type { Phase, Step } from '../lessons/lesson.ts';
import { freezeText } from '../time-rail/freeze-text.ts';
import { LESSON_WORDS as WORDS } from './words.ts';

export const paceText = (pace: number): string => (pace === 1 ? WORDS.life : WORDS.slower(Math.round(1 / pace)));

/** @param faultText says what is injected */
export function setsText(step: Step, info: BenchInfo, faultText: (ask: FaultAsk) => string): string {
  const phases = step.phases.map((phase) => phaseText(phase, info, faultText));
  return `${builtInName(step.controller)}; ${phases.join(`; ${WORDS.andThen} `)}.`;
}

function phaseText(
  { hands = {}, fault, pace, until, untilWords }: Phase,
  info: BenchInfo,
  faultText: (ask: FaultAsk) => string,
) {
  const { gear, direction, meets, grip_Nm, wrist, trigger } = hands;
  const parts: string[] = [];
  if (gear !== undefined) parts.push(WORDS.gear(gear));
  if (direction !== undefined)
    parts.push(direction === 0 ? HANDS.directions.locked : direction > 0 ? HANDS.directions.in : HANDS.directions.out);
  if (meets !== undefined) parts.push((HANDS.loads[info.loads[meets]] ?? info.loads[meets]).toLowerCase());
  if (grip_Nm !== undefined && grip_Nm > 0) parts.push(WORDS.grips(grip_Nm));
  if (wrist === 0) parts.push(WORDS.vice);
  if (trigger !== undefined) parts.push(WORDS.trigger(Math.round(trigger * 100)));
  if (fault) parts.push(WORDS.fault(faultText(fault)));
  parts.push(WORDS.at(paceText(pace)), WORDS.until(untilWords ?? freezeText({ ...until, pre_s: 0 }, info)));
  return parts.join(', ');
}

/** Name, leg and size of a fault, as the catalogue shows them. */
export function faultWords({ fault, leg, size, shape }: FaultAsk, row: FaultRow | undefined): string {
  const parts: string[] = [];
  if (leg) parts.push(leg.toUpperCase());
  if (row?.size && size !== undefined) {
    const shown = Number((size / row.size.factor).toPrecision(4));
    parts.push(`${shown}\u00a0${unitSymbol(row.size.unit)}`);
  }
  if (shape?.kind === 'ramp') parts.push(WORDS.over(shape.over_s));
  const name = row?.name ?? fault;
  return parts.length === 0 ? name : `${name} (${parts.join(', ')})`;
}
