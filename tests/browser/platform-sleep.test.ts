/**
 * What a browser does to a page that nobody looks at, and to two pages at once: it stops drawing, puts a tab to sleep, opens a
 * second one, withholds isolation. The drill goes on or stands with open legs; what was not run is told.
 */
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { serveFolder } from '../support/browser.ts';
import { BUSY } from '../support/busy-scenario.ts';
import { OpenPage } from '../support/page.ts';
import { type ServedBoard, serveBoard } from './board-rig.ts';

const DIST = process.env.PAGE_DIST ?? fileURLToPath(new URL('../../dist', import.meta.url));
interface Insight {
  session: {
    connect(place: object): Promise<{ ok: boolean; lines?: readonly string[] }>;
    record: { now: Float64Array };
    api: {
      disconnect(): Promise<void>;
      marks(from_s: number, to_s: number): Promise<{ kind: string; words: string; at_s: number }[]>;
    };
  };
}

let open: OpenPage;
let address: string;

beforeAll(async () => {
  open = await OpenPage.open({ noGl: true });
  address = open.page.url();
});
afterAll(async () => {
  await open?.close();
});

describe('a page that sleeps', () => {
  beforeAll(async () => {
    await open.page.keyboard.press('Escape'); // ends the demonstration
  });
  const button = (name: string) => open.page.getByRole('button', { name, exact: true });
  /** How many hold the lock of a run in this browser. */
  const locks = () =>
    open.page.evaluate(async () => {
      const { held = [] } = await navigator.locks.query();
      return held.filter(({ name }) => name === 'phantom-spindle-run').length;
    });

  it('holds a lock for as long as time runs', async () => {
    await expect.poll(locks, { timeout: 20_000 }).toBe(1);
    await button('Freeze').click();
    await expect.poll(locks, { timeout: 20_000 }).toBe(0);
    await button('Run').click();
    await expect.poll(locks, { timeout: 20_000 }).toBe(1);
  });

  /** Headless browsers put no tab to sleep: the events are the test's, and the worker is kept from its work meanwhile. */
  const sleep = async () => {
    await open.page.evaluate(() => document.dispatchEvent(new Event('freeze')));
    await open.until('gates', (gates) => gates === 0);
    await open.playInWorker(BUSY);
    await open.playInWorker(BUSY);
    await open.page.evaluate(() => document.dispatchEvent(new Event('resume')));
  };

  it('is stopped before it sleeps, says afterwards how long it slept, and has the gap in its record', async () => {
    await button('Nothing').click();
    await open.page.keyboard.down('t');
    await open.until('gates', (gates) => gates !== 0);
    const lost_s = await open.head('lost_s');
    const began_s = await open.signal('time');
    await sleep();
    await open.shows('The page was asleep');
    await open.shows(/put it to sleep for \d+(\.\d)?\ss\. Stop came first: all legs are open/);
    expect(await open.head('stopped')).toBe(1);
    await open.until('trigger', (travel) => travel === 0);
    await open.page.keyboard.up('t');
    await expect.poll(() => open.head('lost_s'), { timeout: 20_000 }).toBeGreaterThan(lost_s);
    const marks = await open.page.evaluate((from_s) => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      return session.api.marks(from_s, from_s + 60);
    }, began_s);
    expect(marks.map(({ words }) => words).join('; ')).toMatch(/Stop.*Lost time: \d+ ms/);
    await open.shows(/Lost time: /);
    await button('Go on').click();
    await expect.poll(() => open.page.getByText('The page was asleep').count()).toBe(0);
  });

  it('goes on without a single picture drawn', async () => {
    await open.page.evaluate(() => {
      globalThis.requestAnimationFrame = () => 0;
    });
    const began_s = await open.signal('time');
    await open.until('time', (t_s) => t_s > began_s + 0.3);
    expect(open.problems).toEqual([]);
  });
});

describe('two tabs and one board', () => {
  let first: Page;
  let second: Page;
  let board: ServedBoard;
  beforeAll(async () => {
    board = await serveBoard();
    await open.page.goto('about:blank');
    const person = await open.page.context().browser()?.newContext();
    if (!person) throw new Error('no browser');
    const tab = async () => {
      const page = await person.newPage();
      await page.goto(address);
      await page.waitForFunction(
        () => ((document.querySelector('spindle-page') as unknown as Insight).session?.record.now[0] ?? 0) > 0,
      );
      return page;
    };
    first = await tab();
    second = await tab();
  });
  afterAll(async () => {
    await first?.close();
    await board?.close();
  });
  const connect = (page: Page) =>
    page.evaluate((address) => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      return session.connect({ kind: 'socket', address });
    }, board.address);

  it('let the first one drive, and tell the second one in words before it disturbs the board', async () => {
    expect((await connect(first)).ok).toBe(true);
    const refused = await connect(second);
    expect(refused.ok).toBe(false);
    expect(refused.lines?.[0]).toMatch(/^Another tab of this browser drives the board at ws:.*disconnect it there/);
    expect(board.pages).toBe(1);
  });

  it('let the first one connect again to what it holds itself', async () => {
    expect((await connect(first)).ok).toBe(true);
    await expect.poll(() => board.pages, { timeout: 20_000 }).toBe(1);
  });

  it('give way when the first one disconnects, and when its tab is closed', async () => {
    await first.evaluate(() => (document.querySelector('spindle-page') as unknown as Insight).session.api.disconnect());
    await expect.poll(async () => (await connect(second)).ok, { timeout: 20_000 }).toBe(true);
    expect((await connect(first)).ok).toBe(false);
    await second.close();
    await expect.poll(async () => (await connect(first)).ok, { timeout: 20_000 }).toBe(true);
  });
});

describe('a page from a plain server', () => {
  it('runs without isolation and shared memory, and says how coarse its clock is; an isolated one has a fine clock', async () => {
    await open.page.goto(address);
    await open.until('time', (t_s) => t_s > 0);
    const plain = await serveFolder(DIST);
    const grain = async () => {
      await open.page.getByRole('button', { name: /^Who drives/ }).click();
      const row = open.page.locator('controller-sheet').getByRole('row', { name: 'Grain of the clock' });
      const text = (await row.locator('td').textContent()) ?? '';
      const isolated = await open.page.evaluate(() => [crossOriginIsolated, typeof SharedArrayBuffer]);
      return { text, isolated };
    };
    try {
      const isolated = await grain();
      expect(isolated.isolated).toEqual([true, 'function']);
      expect(isolated.text).toMatch(/^\d+ µs$/);
      await open.page.goto(plain.url);
      await open.until('time', (t_s) => t_s > 0.1);
      const alone = await grain();
      expect(alone.isolated).toEqual([false, 'undefined']);
      expect(alone.text).toMatch(/^\d+ µs, coarse: the page is served without isolation$/);
      expect(Number.parseInt(alone.text, 10)).toBeGreaterThan(Number.parseInt(isolated.text, 10));
      expect(open.problems).toEqual([]);
    } finally {
      await plain.close();
    }
  });
});
