/** The check that has the least room. */
import { roomShare } from './bar.ts';
import type { CheckTold, RunTold } from './model.ts';

/** The check with the least room for its limit; those with a limit of zero leave none by their nature. */
export function leastRoom(runs: readonly RunTold[]): { run: RunTold; check: CheckTold } | undefined {
  let least: { run: RunTold; check: CheckTold; room: number } | undefined;
  for (const run of runs) {
    for (const check of run.checks) {
      const room = check.limit === 0 && check.margin === 0 ? undefined : roomShare(check);
      if (room !== undefined && (least === undefined || room < least.room)) least = { run, check, room };
    }
  }
  return least;
}
