/** What a scenario on the bench still has to do: Ahead says it while its hands drive. */
import type { Scenario } from '../../worker/api.ts';
import { PLAN_WORDS as WORDS } from './words.ts';

export interface Plan {
  readonly title: string;
  /** Moment of what comes next [s], undefined when all is done. */ readonly next_s: number | undefined;
  /** How much is still to be done. */ readonly left: number;
  /** The scenario counts as over from here [s]. */ readonly end_s: number;
  readonly over: boolean;
}

/** Where a scenario stands at a moment of its run. */
export function planAt({ title, timeline, duration_s }: Scenario, now_s: number): Plan {
  const left = timeline.filter(({ at_s }) => at_s > now_s);
  return { title, next_s: left.at(0)?.at_s, left: left.length, end_s: duration_s, over: now_s >= duration_s };
}

export function planWords({ next_s, left, end_s, over }: Plan): string {
  if (over) return WORDS.over;
  return next_s === undefined ? WORDS.done(end_s.toFixed(3)) : WORDS.next(next_s.toFixed(3), left, end_s.toFixed(3));
}
