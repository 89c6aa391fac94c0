/** Plays a step of a lesson on a bench: puts a fresh drill there, sets what the step sets, and waits until time stands. */
import type { DrillApi, FaultAsk, FreezeWhen, GhostAsk, Hands, Span } from '../../worker/api.ts';
import { AT_REST } from '../session/session.ts';
import type { Step } from './lesson.ts';

type Awaitable<T> = T | Promise<T>;

/** A bench as a lesson needs it: the one of the page, or one of a test. */
export interface LessonBench {
  /** Puts the drill with a controller on the bench, at rest at time 0, time standing. */
  fresh(controller: string): Promise<void>;
  setHands(hands: Hands): Awaitable<unknown>;
  setPace(pace: number): Awaitable<unknown>;
  armFault(ask: FaultAsk): Awaitable<number>;
  fireFault(handle: number): Awaitable<unknown>;
  freezeWhen(condition: FreezeWhen | undefined): Awaitable<unknown>;
  ghostOf(ask: GhostAsk): Promise<Awaited<ReturnType<DrillApi['ghostOf']>>>;
  /** Lets time run until the condition holds for the `count`-th time since `fresh`; resolves with the moment [s]. */
  untilItStands(count: number): Promise<number>;
}

/** Hands before a step: nobody squeezes, nothing in the chuck. */
const REST: Hands = { ...AT_REST, meets: 0 };

/** The step was left before it had ended. */
export class Left extends Error {}

/** @returns when each phase began and ended. Rejects with `Left` when `left()` turns true on the way. */
export async function playStep(step: Step, bench: LessonBench, left: () => boolean): Promise<Span[]> {
  const goOn = () => {
    if (left()) throw new Left('the step was left');
  };
  await bench.fresh(step.controller);
  goOn();
  await bench.setHands(REST);
  const spans: Span[] = [];
  let from_s = 0;
  for (const { hands, fault, pace, until } of step.phases) {
    if (fault) await bench.fireFault(await bench.armFault(fault));
    if (hands) await bench.setHands(hands);
    await bench.setPace(pace);
    await bench.freezeWhen({ ...until, pre_s: 0 });
    goOn();
    const to_s = await bench.untilItStands(spans.length + 1);
    goOn();
    spans.push({ from_s, to_s });
    from_s = to_s;
  }
  if (step.ghost) {
    const { words: _, ...ask } = step.ghost;
    const made = await bench.ghostOf(ask);
    goOn();
    if (!made.ok) throw new Error(made.why);
  }
  return spans;
}
