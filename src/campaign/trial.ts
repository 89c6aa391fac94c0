/** From the content of a scenario and the values of a point to a scenario that can be played. */
import { type LoadResult, loadScenario } from '../scenario/load.ts';
import { withValues } from './place.ts';
import type { Values } from './results.ts';

/** The text of a point: JSON, which is YAML too. Throws RangeError naming a place that the scenario does not have. */
export function pointText(content: unknown, values: Values): string {
  return JSON.stringify(withValues(content, values), null, 2);
}

/** Loads a point. Never throws: places that are not there are problems too. */
export function loadPoint(content: unknown, values: Values, file: string): LoadResult {
  try {
    return loadScenario(pointText(content, values), file);
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return { ok: false, problems: [{ file, line: 1, text: error.message }] };
  }
}

/** What is wrong with a point in one line: line numbers mean nothing in a text that nobody wrote. */
export function refusal(result: Exclude<LoadResult, { ok: true }>): string {
  return result.problems.map(({ text }) => text).join('; ');
}
