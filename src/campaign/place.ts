/**
 * Places in a scenario, written as keys and numbers with dots between: `faults.1.size` is the size of the first fault,
 * counted from one as messages do.
 */
import type { Value, Values } from './results.ts';

type Content = Record<string, unknown>;

/** A copy of the content with the values in it. Throws RangeError naming a place that is not there. */
export function withValues(content: unknown, values: Values): unknown {
  const copy = structuredClone(content);
  for (const [place, value] of Object.entries(values)) put(copy, place, value);
  return copy;
}

/** What stands at the place, undefined when nothing does. Throws RangeError when the way there is not there. */
export function valueAtPlace(content: unknown, place: string): unknown {
  const { holder, key } = walk(content, place, false);
  return (holder as Content | undefined)?.[key];
}

function put(content: unknown, place: string, value: Value): void {
  const { holder, key } = walk(content, place, true);
  (holder as Content)[key] = value;
}

/** Goes to what holds the last key. A group that is missing is made; a list entry never is. */
function walk(content: unknown, place: string, make: boolean): { holder: unknown; key: string | number } {
  const steps = place.split('.');
  let here: unknown = content;
  let at = '';
  for (let k = 0; ; ) {
    if (Array.isArray(here)) {
      const item = Number(steps[k]);
      if (!(Number.isInteger(item) && item >= 1 && item <= here.length)) {
        const entries = here.length === 0 ? 'it has no entry' : `allowed is 1 to ${here.length}`;
        throw new RangeError(`'${steps[k]}' is no entry of ${at}; ${entries}`);
      }
      if (k === steps.length - 1) return { holder: here, key: item - 1 };
      here = here[item - 1];
      at = `${at}.${steps[k++]}`;
      continue;
    }
    if (typeof here !== 'object' || here === null) {
      if (here === undefined && !make) return { holder: undefined, key: steps[steps.length - 1] };
      throw new RangeError(`${at} holds no further keys`);
    }
    const group = here as Content;
    const key = longestKey(group, steps, k);
    const used = key.split('.').length;
    if (k + used >= steps.length) return { holder: group, key };
    if (make && group[key] === undefined) group[key] = {};
    here = group[key];
    at = at === '' ? key : `${at}.${key}`;
    k += used;
  }
}

/** A key of the file may have dots in it itself: the longest one that is there counts, else the next step. */
function longestKey(group: Content, steps: readonly string[], from: number): string {
  for (let to = steps.length; to > from + 1; to--) {
    const joined = steps.slice(from, to).join('.');
    if (Object.hasOwn(group, joined)) return joined;
  }
  return steps[from];
}
