/** Twelve traces drawn live while the drill works at the pace of life: time lost, ticks dropped, script time of frames. */
import type { OpenPage } from '../support/page.ts';
import { type FrameTimes, timeFrames } from './frames.ts';
import { columnsMissing, moveHands, newScrew, readTicks, standOf, TWELVE, watchBlocks } from './page-side.ts';
import { beginRecording, endRecording, type Recorded } from './recorded.ts';

export interface Live {
  /** Lost in the first seconds of the page [s]. */ readonly openingLost_s: number;
  /** Of the clock. */ readonly wall_s: number;
  /** Virtual time that passed, and was dropped because the machine was too slow [s]. */
  readonly virtual_s: number;
  readonly lost_s: number;
  /** Ticks read back from what the bench keeps, those that were not where they belong, and those between two readings. */
  readonly ticks: number;
  readonly wrong: number;
  /** Stretches of 5 ms that no block brought to the page. */ readonly columnsMissing: number;
  /** The page's own recording of it, read back. */ readonly recorded: Recorded;
  readonly drawings: number;
  readonly frames: FrameTimes;
}

/** Between two readings of ticks [ms]: a few thousand, which take the worker some milliseconds of the time of its drill. */
const READ_MS = 400;
/** The tracer of frames and the first use of code take the machine for a moment [ms]: what is measured begins after it. */
const SETTLE_MS = 3000;
/** Between two moves of the hands [ms]: as often as a restless person. */
const MOVE_MS = 300;
/** By then the opening demonstration has squeezed the trigger, and code that was not compiled for it would have lost time [s]. */
const OPENED_S = 1.5;
const TICKS_MOST = 200_000;

/** One move of a working hand each: a screw in over three squeezes, and out again; then the other gear. */
const WORK = [
  { direction: 1, trigger: 0.35 },
  { trigger: 0.6 },
  { trigger: 1 },
  { trigger: 0.8 },
  { trigger: 0 },
  { direction: -1, trigger: 0.5 },
  { trigger: 0.9 },
  { trigger: 0.4 },
  { trigger: 0 },
  { gear: 1, trigger: 0.7 },
  { trigger: 0 },
  { gear: 2 },
] as const;

/** The next move of the work, over and over; each round begins with a fresh screw. */
export async function workOn(open: OpenPage, move: number): Promise<void> {
  const hands = WORK[move % WORK.length];
  if (move % WORK.length === 0) await newScrew(open.page);
  await moveHands(open.page, hands);
}

/** Opens the waves with twelve traces that follow now. */
export async function openWaves(open: OpenPage): Promise<() => Promise<number>> {
  await open.page.getByRole('button', { name: 'Waves', exact: true }).click();
  const bench = await open.page.locator('wave-bench').elementHandle();
  if (!bench) throw new Error('the waves did not open');
  type Bench = HTMLElement & { desk: { pick(channels: readonly string[]): void }; paper?: { spent: number } };
  await bench.evaluate((element, picked) => (element as Bench).desk.pick(picked), TWELVE);
  const drawings = () => bench.evaluate((element) => (element as Bench).paper?.spent ?? 0);
  for (const before = await drawings(); (await drawings()) < before + 3; ) await open.page.waitForTimeout(50);
  return drawings;
}

export async function runLive(open: OpenPage, seconds: number): Promise<Live> {
  const { page } = open;
  await open.until('time', (time_s) => time_s > OPENED_S);
  const openingLost_s = (await standOf(page)).lost_s;
  await beginRecording(open);
  const drawings = await openWaves(open);
  await page.keyboard.press('Escape'); // ends the demonstration, whose hands would let go again of what these squeeze
  await watchBlocks(page);
  await moveHands(page, { meets: 1, gear: 2, trigger: 0 });
  const stand = async () => ({ ...(await standOf(page)), drawings: await drawings() });
  const first = await open.head('tick');
  let next = first;
  let wrong = 0;
  const read = async () => {
    const read = await readTicks(page, next, TICKS_MOST);
    wrong += read.wrong;
    next = read.end;
  };
  let moves = 0;
  const work = async (wall_ms: number) => {
    const begin_ms = performance.now();
    let move_ms = 0;
    let read_ms = READ_MS;
    for (let gone_ms = 0; gone_ms < wall_ms; gone_ms = performance.now() - begin_ms) {
      if (gone_ms >= move_ms) {
        move_ms += MOVE_MS;
        await workOn(open, moves++);
      } else if (gone_ms >= read_ms) {
        read_ms = gone_ms + READ_MS;
        await read();
      } else await page.waitForTimeout(20);
    }
    await read();
  };
  let begin = await stand();
  let end = begin;
  const frames = await timeFrames(page, drawings, async () => {
    await work(SETTLE_MS);
    begin = await stand();
    await work(seconds * 1000);
    end = await stand();
  });
  const missing = await columnsMissing(page);
  const recorded = await endRecording(open);
  await openWaves(open); // as it was
  return {
    openingLost_s,
    wall_s: (end.clock_ms - begin.clock_ms) / 1000,
    virtual_s: end.time_s - begin.time_s,
    lost_s: end.lost_s - begin.lost_s,
    ticks: next - first,
    wrong,
    columnsMissing: missing,
    recorded,
    drawings: end.drawings - begin.drawings,
    frames,
  };
}
