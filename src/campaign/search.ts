/**
 * A search asks for runs and is told their results, until it knows. What it asks for follows from the campaign and from
 * the results alone, never from the time that runs take, so that it repeats on any machine, and goes on after a kill by
 * being told the results that are on file.
 */
import type { CaseOutcome, PointResult, Values } from './results.ts';

export type Search = Generator<readonly Values[], CaseOutcome | undefined, readonly PointResult[]>;

/** A point that is one run. */
export function* once(values: Values): Search {
  yield [values];
  return undefined;
}

/** Whether a run holds in the view of a search. */
export type Holding = { readonly holds: boolean } | { readonly why: string };

/** @param check name of the check that counts, 'any' for all of them */
export function holding(result: PointResult, check: string): Holding {
  if (result.verdict === 'set-up error' || result.verdict === 'invalid')
    return { why: `${result.verdict}: ${result.why}` };
  if (check !== 'any') {
    const found = result.checks.find(({ name }) => name === check);
    if (!found || found.verdict === 'not evaluated') {
      return { why: `'${check}' is not evaluated: ${found?.why || result.why || 'it is not there'}` };
    }
    return { holds: found.verdict === 'pass' };
  }
  if (result.verdict === 'controller lost') return { holds: false };
  const open = result.checks.find(({ verdict, margin }) => verdict === 'not evaluated' && margin === null);
  if (result.verdict === 'failed' && open && !result.checks.some(({ verdict }) => verdict === 'fail')) {
    return { why: `'${open.name}' is not evaluated: ${open.why}` };
  }
  return { holds: result.verdict === 'passed' };
}

/** The least room of a run: a margin as a share of its limit, so that checks in different units can be compared. */
export interface Room {
  readonly check: string;
  readonly unit: string;
  readonly margin: number;
  readonly room: number;
}

/** @param own names of the checks of the scenario; those that every run has are no matter of room */
export function leastRoom(result: PointResult, check: string, own: readonly string[]): Room | undefined {
  let least: Room | undefined;
  for (const { name, unit, margin, limit, verdict } of result.checks) {
    if (margin === null || limit === null || verdict === 'not evaluated') continue;
    if (check === 'any' ? !own.includes(name) : name !== check) continue;
    const room = limit === 0 ? margin : margin / Math.abs(limit);
    if (!least || room < least.room) least = { check: name, unit, margin, room };
  }
  return least;
}
