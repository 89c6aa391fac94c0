/** Memory over a long run: the bench goes on as fast as it goes, and what page and worker hold is weighed at even times of it. */
import type { OpenPage } from '../support/page.ts';
import { type Heaps, type Held, totalOf } from './heap.ts';
import { workOn } from './live.ts';
import { letRun, readTicks, stepBy } from './page-side.ts';
import { type Trend, trendOf } from './trend.ts';

export interface Weighed {
  readonly time_s: number;
  readonly page: Held;
  readonly worker: Held;
}

export interface Hour {
  readonly virtual_s: number;
  readonly wall_s: number;
  readonly deeds: number;
  /** It went on long enough to be judged. */ readonly settled: boolean;
  readonly weighed: readonly Weighed[];
  /** Growth after the room of the past is full [bytes per hour of virtual time]. */
  readonly page: Trend;
  readonly worker: Trend;
  readonly ticks: number;
  readonly wrong: number;
}

/** Periods of a go: 0.5 s, as many as one block can bring the columns of. */
const GO = 10_000;
/** Goes between two moves of the hands. */
const MOVE_EVERY = 5;
/** Snapshots to go back to are thinned out until they are this old; before that a run gathers them [s]. */
const SETTLED_S = 600;
/** Ticks that are read back at each weighing. */
const READ = 50_000;

/** @param hours of virtual time; @param each after how much of it is weighed [s]; @param told after each weighing */
export async function runHour(
  open: OpenPage,
  heaps: Heaps,
  hours: number,
  each_s: number,
  told: (weighed: Weighed) => void,
): Promise<Hour> {
  const { page } = open;
  await letRun(page, false);
  await workOn(open, 0);
  const begin_ms = performance.now();
  const weighed: Weighed[] = [];
  let begin_s = Number.NaN;
  let ticks = 0;
  let wrong = 0;
  let deeds = 0;
  const weigh = async () => {
    const time_s = await open.signal('time');
    if (Number.isNaN(begin_s)) begin_s = time_s;
    weighed.push({ time_s: time_s - begin_s, page: await heaps.page(), worker: await heaps.worker('drill.worker') });
    told(weighed[weighed.length - 1]);
  };
  await weigh();
  for (let go = 1; go * 0.5 <= hours * 3600; go++) {
    if (go % MOVE_EVERY === 0) await workOn(open, ++deeds);
    await stepBy(page, GO);
    if ((go * 0.5) % each_s !== 0) continue;
    await open.page.waitForTimeout(0);
    await weigh();
    const from = Math.max(1, (await open.head('tick')) - READ);
    const read = await readTicks(page, from, READ);
    ticks += read.end - from;
    wrong += read.wrong;
  }
  const last_s = weighed[weighed.length - 1].time_s;
  const settled = last_s >= 2 * SETTLED_S;
  const counted = weighed.filter(({ time_s }) => time_s >= (settled ? SETTLED_S : last_s / 2));
  const trend = (side: 'page' | 'worker') =>
    trendOf(counted.map((at) => [at.time_s / 3600, totalOf(at[side])] as const));
  const wall_s = (performance.now() - begin_ms) / 1000;
  return {
    virtual_s: last_s,
    wall_s,
    deeds,
    settled,
    weighed,
    page: trend('page'),
    worker: trend('worker'),
    ticks,
    wrong,
  };
}
