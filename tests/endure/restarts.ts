/** The page's element taken away and put back, over and over: each time a worker ends and another one starts. */
import type { OpenPage } from '../support/page.ts';
import type { Heaps } from './heap.ts';
import { type Trend, trendOf } from './trend.ts';

export interface Restarts {
  readonly starts: number;
  /** Workers that live at the end; one is right. */ readonly workers: number;
  /** What the page's script keeps of a start [bytes]. */ readonly bytes: Trend;
  /** Nodes and listeners that a start leaves behind. */ readonly nodes: Trend;
  readonly listeners: Trend;
  /** From the element put there until the drill runs [ms], rising. */ readonly starts_ms: readonly number[];
}

/** Weighings of a whole run, and three at least, so that a slope has a width. */
const WEIGHINGS = 20;
/** Share of the starts that only warm up: code that the browser compiles meanwhile, and its own notes of timing, fill up. */
const WARM = 0.5;

export async function runRestarts(open: OpenPage, heaps: Heaps, starts: number): Promise<Restarts> {
  const { page } = open;
  const starts_ms: number[] = [];
  const rows: { start: number; used: number; nodes: number; listeners: number }[] = [];
  const every = Math.max(1, Math.floor(starts / WEIGHINGS));
  const warm = Math.min(Math.floor(starts * WARM), starts - 3 * every);
  for (let start = 1; start <= starts; start++) {
    const begin_ms = performance.now();
    await page.evaluate(() => {
      document.querySelector('spindle-page')?.remove();
      document.body.append(document.createElement('spindle-page'));
    });
    await open.until('time', (time_s) => time_s > 0);
    starts_ms.push(performance.now() - begin_ms);
    if (start <= warm || start % every !== 0) continue;
    const { used } = await heaps.page();
    rows.push({ start, used, ...(await heaps.counts()) });
  }
  const trend = (of: 'used' | 'nodes' | 'listeners') => trendOf(rows.map((row) => [row.start, row[of]] as const));
  for (const end_ms = performance.now() + 5000; heaps.count > 1 && performance.now() < end_ms; ) {
    await page.waitForTimeout(50);
  }
  return {
    starts,
    workers: heaps.count,
    bytes: trend('used'),
    nodes: trend('nodes'),
    listeners: trend('listeners'),
    starts_ms: starts_ms.sort((a, b) => a - b),
  };
}
