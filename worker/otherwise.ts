/** A scenario with another controller, or with other numbers of its drill. */
import { PARAMETERS } from '../src/scenario/read-set.ts';
import type { Scenario } from '../src/scenario/scenario.ts';
import type { Otherwise } from './runs-api.ts';

/** Throws RangeError on a number that a drill does not have. */
export function scenarioWith(scenario: Scenario, { controller, changes = [] }: Otherwise): Scenario {
  for (const { key } of changes) if (!PARAMETERS.has(key)) throw new RangeError(`'${key}' is no number of a drill`);
  const kept = (scenario.set ?? []).filter(({ key }) => !changes.some((each) => each.key === key));
  const set = [...kept, ...changes.map(({ key, value }) => ({ key, value, text: String(value) }))];
  return { ...scenario, ...(controller === undefined ? {} : { controller }), ...(set.length > 0 ? { set } : {}) };
}
