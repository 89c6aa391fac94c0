/** The one line that plays a run of a campaign again. */
import type { Plan } from './load.ts';
import type { CaseOutcome, PointResult, ResultHead } from './results.ts';
import { writeValue } from './written.ts';

const COMMAND = 'npm run -s sim -- campaign';

type Named = Pick<PointResult, 'point' | 'run' | 'values'>;

/** A point that is one run is named by its number; a run of a search by its values, which the search picked. */
export function onceMoreLine(plan: Pick<Plan, 'file'>, head: Pick<ResultHead, 'controller'>, result: Named): string {
  const controller = head.controller === '' ? '' : ` --controller ${quoted(head.controller)}`;
  const which =
    result.run === 0
      ? `--point ${result.point}`
      : `--with ${Object.entries(result.values)
          .map(([place, value]) => quoted(`${place}=${value}`))
          .join(' ')}`;
  return `${COMMAND} ${quoted(plan.file)}${controller} ${which}`;
}

/** As a shell takes it literally. */
function quoted(text: string): string {
  return /^[\w./:@%+=,-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;
}

/** The outcome of a search with the line that plays what it found. */
export function withAgain<Outcome extends CaseOutcome>(plan: Plan, head: ResultHead, found: Outcome): Outcome {
  const size = found.kind === 'break' ? (found.fails ?? found.holds) : null;
  const values =
    found.kind === 'break' && size !== null
      ? { ...found.values, [found.place]: writeValue(size, found.unit) }
      : found.values;
  if (Object.keys(values).length === 0) return found;
  return { ...found, again: onceMoreLine(plan, head, { point: found.case, run: 1, values }) };
}
