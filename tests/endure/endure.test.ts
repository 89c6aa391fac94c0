/**
 * The endurance run in short: on a machine that others use, so that time lost and times of frames are only told, and what counts is
 * each tick once, nothing left behind, and room that stays what it was. `npm run endure` is the whole of it.
 */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { OpenPage } from '../support/page.ts';
import { Heaps, totalOf } from './heap.ts';
import { runHour } from './hour.ts';
import { hourRows, liveRows, type Row, restartRows } from './limits.ts';
import { runLive } from './live.ts';
import { runRestarts } from './restarts.ts';
import { growthOf } from './trend.ts';

const SECONDS = 2;
/** 4 s of the drill. */
const HOURS = 4 / 3600;
const STARTS = 3;

describe('the page in the long run', () => {
  let open: OpenPage;
  let heaps: Heaps;
  const tell = (rows: readonly Row[]) => console.log(rows.map(({ what, figure }) => `${what}: ${figure}`).join('\n'));

  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    heaps = await Heaps.of(open.page);
  });
  afterAll(async () => {
    await open?.close();
  });

  it('brings each tick once and leaves no stretch out while twelve traces are drawn and the drill works', async () => {
    const live = await runLive(open, SECONDS);
    tell(liveRows(live));
    // 20 ticks: 1 ms of the drill; a machine on which so little passes in 2 s shows nothing.
    expect(live.ticks).toBeGreaterThan(20);
    expect(live.wrong).toBe(0);
    expect(live.columnsMissing).toBe(0);
    expect(live.recorded).toMatchObject({ gaps: 0, missing: 0, damages: [] });
    expect(live.recorded.rows).toBeGreaterThanOrEqual(live.ticks);
    expect(live.drawings).toBeGreaterThan(0);
  });

  it('takes no more room as time goes by than what it keeps of the past', async () => {
    const hour = await runHour(open, heaps, HOURS, 1, () => {});
    tell(hourRows(hour));
    expect(hour.wrong).toBe(0);
    const [first] = hour.weighed;
    const last = hour.weighed[hour.weighed.length - 1];
    // The past is given its room at once; snapshots to go back to are 0.03 MB each beside its 112 MB, four a second.
    expect(totalOf(last.worker) / totalOf(first.worker)).toBeLessThan(1.05);
    // The page keeps columns in room of a fixed size; code that the browser compiles is what comes.
    expect(totalOf(last.page) / totalOf(first.page)).toBeLessThan(1.25);
  });

  it('leaves nothing behind when it goes and comes again', async () => {
    const restarts = await runRestarts(open, heaps, STARTS);
    tell(restartRows(restarts));
    expect(restarts.workers).toBe(1);
    // An element that is kept is two thousand nodes and a hundred listeners; see the limits of the whole run.
    expect(growthOf(restarts.nodes, 200)).not.toBe('grows');
    expect(growthOf(restarts.listeners, 5)).not.toBe('grows');
    expect(open.problems).toEqual([]);
  });
});
