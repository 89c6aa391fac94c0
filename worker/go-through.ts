/** Goes through the deeds of a run again on another bench, beside the one on show. */
import { drillOf } from '../src/scenario/drill.ts';
import { PARAMETERS } from '../src/scenario/read-set.ts';
import { Course } from './course.ts';
import type { DeedLog } from './deeds.ts';
import { Ghost } from './ghost.ts';
import { makeBenchOf } from './make-bench.ts';
import { PAST_WORDS } from './mark-words.ts';
import { drillNamed } from './named.ts';
import { Past } from './past.ts';
import type { GhostAsk, NoPast } from './past-api.ts';

/** Longest turn at a stretch [ms]; the bench on show gets in between, and Stop waits for one turn of each. */
const TURN_MS = 1;
/** Periods between two looks at the clock. */
const BATCH = 10;

/** What a run was begun with. */
export interface Begun {
  readonly drill: string;
  readonly controller: string;
  readonly seed: number;
}

export interface GhostRun {
  readonly ghost: Ghost;
  readonly done: Promise<{ readonly ok: true } | NoPast>;
}

/**
 * Begins to go through deeds from the start, in short turns. Throws RangeError on a name, key or value that is not allowed.
 *
 * @param start tick at which the run began; @param end tick up to which it is gone through
 */
export function goThrough(begun: Begun, ask: GhostAsk, log: DeedLog, start: number, end: number): GhostRun {
  const { drill = begun.drill, controller = begun.controller, changes = [] } = ask;
  const params = changed(drill, changes);
  const course = new Course(makeBenchOf(params, drillNamed(drill), controller, begun.seed));
  const past = new Past(course, { deeds: log, snapshots: false });
  const ghost = new Ghost(past.archive, past.marks, titleOf(ask));
  ghost.progress = 0;
  const hop = new MessageChannel();
  const done = new Promise<{ readonly ok: true } | NoPast>((resolve) => {
    const finish = (why: string): void => {
      ghost.drop = () => {};
      ghost.progress = 1;
      ghost.why = why;
      hop.port1.close();
      resolve(why === '' ? { ok: true } : { ok: false, why });
    };
    let given = false;
    ghost.drop = () => {
      given = true;
      finish(PAST_WORDS.givenUp);
    };
    const turn = (): void => {
      if (given) return;
      const begin_ms = performance.now();
      while (past.tick < end && performance.now() - begin_ms < TURN_MS)
        past.goTo(Math.min(end, past.tick + BATCH), () => {});
      const { fault } = course.made.bench.plant;
      ghost.progress = end > start ? (past.tick - start) / (end - start) : 1;
      if (past.tick >= end || fault !== '') finish(fault);
      else hop.port2.postMessage(0);
    };
    hop.port1.onmessage = turn;
    hop.port2.postMessage(0);
  });
  return { ghost, done };
}

function changed(drill: string, changes: NonNullable<GhostAsk['changes']>) {
  for (const { key } of changes) {
    if (!PARAMETERS.has(key)) throw new RangeError(`'${key}' is no number of a drill`);
  }
  return drillOf({ drill, set: changes.map(({ key, value }) => ({ key, value, text: String(value) })) });
}

function titleOf({ drill, controller, changes = [] }: GhostAsk): string {
  const parts = [controller ?? '', drill ?? '', ...changes.map(({ key, value }) => `${key} = ${String(value)}`)];
  return parts.filter((part) => part !== '').join(', ') || PAST_WORDS.same;
}
