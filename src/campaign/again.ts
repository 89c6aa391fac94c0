/** The one line that plays a run of a campaign again. */
import type { Plan } from './load.ts';
import type { PointResult, ResultHead } from './results.ts';

const COMMAND = 'npm run -s sim -- campaign';

/** A point that is one run is named by its number; a run of a search by its values, which the search picked. */
export function onceMoreLine(plan: Plan, head: ResultHead, result: PointResult): string {
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
