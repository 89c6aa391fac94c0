/** How long the script of a drawn frame takes on the page's own thread, and the card for what it is told meanwhile. */
import type { Page } from 'playwright-core';
import { quantile } from './trend.ts';

export interface Times {
  readonly count: number;
  readonly p50_ms: number;
  readonly p95_ms: number;
  readonly most_ms: number;
}

export interface FrameTimes {
  /** Time of the thread: what the machine did meanwhile for others is not the script's. */ readonly script: Times;
  /** Tasks of the process that draws, by the clock; a card that is imitated takes a processor for them. */
  readonly card: Times;
}

interface TraceEvent {
  readonly name: string;
  readonly ts: number;
  readonly dur?: number;
  readonly tdur?: number;
}

/** Calls that follow each other within this belong to one frame [us]. */
const SAME_FRAME_US = 500;

function timesOf(each_ms: number[]): Times {
  const sorted = each_ms.sort((a, b) => a - b);
  return {
    count: sorted.length,
    p50_ms: quantile(sorted, 0.5),
    p95_ms: quantile(sorted, 0.95),
    most_ms: sorted.at(-1) ?? Number.NaN,
  };
}

/** Traces the page while `work` goes on. @param drawings how often something was drawn so far: other frames cost nothing */
export async function timeFrames(
  page: Page,
  drawings: () => Promise<number>,
  work: () => Promise<void>,
): Promise<FrameTimes> {
  const browser = page.context().browser();
  if (!browser) throw new Error('the page has no browser');
  const before = await drawings();
  await browser.startTracing(page, { categories: ['devtools.timeline', 'disabled-by-default-devtools.timeline'] });
  let drawn = 0;
  let events: readonly TraceEvent[] = [];
  try {
    await work();
    drawn = (await drawings()) - before;
  } finally {
    events = (JSON.parse((await browser.stopTracing()).toString()) as { traceEvents: TraceEvent[] }).traceEvents;
  }
  const frames: number[] = [];
  let end = Number.NEGATIVE_INFINITY;
  const calls = events.filter(({ name, tdur }) => name === 'FireAnimationFrame' && tdur !== undefined);
  for (const { ts, dur = 0, tdur = 0 } of [...calls].sort((a, b) => a.ts - b.ts)) {
    if (ts - end < SAME_FRAME_US) frames[frames.length - 1] += tdur / 1000;
    else frames.push(tdur / 1000);
    end = ts + dur;
  }
  const card = events.filter(({ name, dur }) => name === 'GPUTask' && dur !== undefined);
  const drew = frames.sort((a, b) => a - b).slice(-Math.max(1, drawn));
  return { script: timesOf(drew), card: timesOf(card.map(({ dur = 0 }) => dur / 1000)) };
}
