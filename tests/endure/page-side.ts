/** What the endurance run does in the page: looks at every block that comes, reads the ticks that are kept, moves the hands. */
import type { Page } from 'playwright-core';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import type { Hands, Look, Looked } from '../../worker/api.ts';
import { HEAD_INDEX } from '../../worker/block.ts';

/** Twelve signals of five units. */
export const TWELVE: readonly SignalId[] = [
  'link',
  'sensedLink',
  'currentA',
  'currentB',
  'currentC',
  'sensedA',
  'sensedB',
  'motorSpeed',
  'chuckSpeed',
  'gearTorque',
  'trigger',
  'dutyA',
];

interface Record {
  absorb(block: { readonly head: Float64Array }): void;
  readonly now: Float64Array;
  readonly endColumn: number;
  readonly tick_s: number;
  headValue(name: string): number;
}
interface Host extends HTMLElement {
  session?: {
    readonly record: Record;
    readonly api: {
      look(ask: Look): Promise<Looked>;
      step(periods: number): Promise<void>;
      freeze(): Promise<void>;
      run(): Promise<void>;
      newScrew(): Promise<void>;
    };
    setHands(hands: Hands): void;
  };
  /** Columns that never came. */ columnsMissing?: number;
}

/**
 * Begins to hold each block that comes against what the page has: 5 ms of a run that no block brought are missing. Stays in force
 * until the element goes.
 */
export async function watchBlocks(page: Page): Promise<void> {
  // Functions are handed over as text, with a helper's name that some compilers put into them.
  await page.evaluate('globalThis.__name ??= (f) => f');
  await page.evaluate((places) => {
    const host = document.querySelector('spindle-page') as unknown as Host | null;
    if (!host?.session) throw new Error('the page has no session');
    const { record } = host.session;
    const absorb = record.absorb.bind(record);
    host.columnsMissing = 0;
    let seen = record.headValue('epoch');
    record.absorb = (block) => {
      const epoch = block.head[places.epoch];
      if (epoch === seen && block.head[places.columns] > 0) {
        host.columnsMissing =
          (host.columnsMissing ?? 0) + Math.max(0, block.head[places.firstColumn] - record.endColumn);
      }
      seen = epoch;
      absorb(block);
    };
  }, HEAD_INDEX);
}

/** Columns of 5 ms that were missing since `watchBlocks`. */
export const columnsMissing = (page: Page): Promise<number> =>
  page.evaluate(() => (document.querySelector('spindle-page') as unknown as Host | null)?.columnsMissing ?? Number.NaN);

/** Time of the drill, time lost, and the clock of the page, read at one moment. */
export const standOf = (page: Page): Promise<{ time_s: number; lost_s: number; clock_ms: number }> =>
  page.evaluate((column) => {
    const { record } = (document.querySelector('spindle-page') as unknown as Host).session!;
    return { time_s: record.now[column], lost_s: record.headValue('lost_s'), clock_ms: performance.now() };
  }, SIGNAL_INDEX.time);

export interface Ticks {
  /** Number of the first and after the last one that were read. */ readonly first: number;
  readonly end: number;
  /** Not kept, or not where they belong. */ readonly wrong: number;
  /** Where the run stood before they were asked for. */ readonly tick: number;
}

/** Reads the time of each tick that the bench keeps, from one on, at most so many; each must stand where it belongs. */
export function readTicks(page: Page, from: number, most: number): Promise<Ticks> {
  return page.evaluate(
    async ({ from, most }) => {
      const { record, api } = (document.querySelector('spindle-page') as unknown as Host).session!;
      const period_s = record.tick_s;
      const tick = record.headValue('tick');
      const end = Math.min(tick, from + most - 1);
      const looked = await api.look({
        run: 'now',
        channels: ['time'],
        from_s: from * period_s,
        to_s: end * period_s,
        points: 400_000,
      });
      if (looked.kind !== 'values') throw new Error(`ticks ${from} to ${end} are no longer kept one by one`);
      const [at_s] = looked.data;
      let wrong = Math.abs(Math.round(looked.from_s / period_s) - from);
      for (let k = 0; k < at_s.length; k++) if (Math.round(at_s[k] / period_s) !== k) wrong++;
      return { first: from, end: from + at_s.length, wrong, tick };
    },
    { from, most },
  );
}

/** Moves hands as a person does: the opening demonstration is over. */
export const moveHands = (page: Page, hands: Hands): Promise<void> =>
  page.evaluate((asked) => (document.querySelector('spindle-page') as unknown as Host).session!.setHands(asked), hands);

/** Goes on by so many periods at once, time frozen, as fast as it goes. */
export const stepBy = (page: Page, periods: number): Promise<void> =>
  page.evaluate(
    (count) => (document.querySelector('spindle-page') as unknown as Host).session!.api.step(count),
    periods,
  );

export const newScrew = (page: Page): Promise<void> =>
  page.evaluate(() => (document.querySelector('spindle-page') as unknown as Host).session!.api.newScrew());

/** Lets time run, or freezes it. */
export const letRun = (page: Page, on: boolean): Promise<void> =>
  page.evaluate((runs) => {
    const { api } = (document.querySelector('spindle-page') as unknown as Host).session!;
    return runs ? api.run() : api.freeze();
  }, on);
