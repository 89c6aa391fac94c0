/**
 * The page's worker drives a board over the bridge, in a real browser and under the headers that the page is served with.
 */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { serve } from '../../src/cli/node-serve.ts';
import { launchBrowser } from '../support/browser.ts';
import { BOARD_LINK, buildPage, inWorker } from './bridge-page.ts';
import { type RunningBridge, runBridge } from './bridge-rig.ts';

const EXCHANGES = 3000;

describe('bridge and the worker of its page', () => {
  let browser: Browser;
  let running: RunningBridge;
  beforeAll(async () => {
    const page = await buildPage();
    browser = await launchBrowser({ noGl: true });
    running = await runBridge(BOARD_LINK, { page });
  });
  afterAll(async () => {
    await browser?.close();
    await running?.close();
  });

  it('a worker of its page exchanges frames with a process, uncompressed, as array buffers', async () => {
    const { address } = running.bridge;
    const page = await browser.newPage();
    const asked: string[] = [];
    page.on('request', (request) => asked.push(request.url()));
    page.on('websocket', (socket) => asked.push(socket.url()));
    await page.goto(address);
    const done = await inWorker(page, { address: await page.evaluate(() => location.href), exchanges: EXCHANGES });
    expect(done.error).toBeUndefined();
    expect(done).toMatchObject({ answered: EXCHANGES, wrong: 0, extensions: '' });
    expect(done.board).toContain('six-step board bench 7');
    expect(done.kinds).toBe('[object ArrayBuffer] [object String]'); // frames, and the notices of the bridge
    console.log(`worker in Chromium over the bridge: ${Math.round(EXCHANGES / done.wall_s!)} exchanges a second`);

    // The same page comes back with the token that it was given; the one of its address is used.
    expect((await inWorker(page, { address, exchanges: 1 })).error).toContain('code 4002');
    expect(await inWorker(page, { address: done.again!, exchanges: 10 })).toMatchObject({ answered: 10, wrong: 0 });
    const token = address.split('#bridge=')[1];
    expect(asked.filter((url) => url.split('#')[0].includes(token))).toEqual([]);
    await page.close();
  });

  it('the built page comes up under the headers that it is served with', async () => {
    const { server, address } = await serve('dist', 0);
    const page = await browser.newPage();
    const problems: string[] = [];
    page.on('pageerror', (error) => problems.push(error.message));
    await page.goto(address);
    await page.waitForFunction(() => {
      const host = document.querySelector('spindle-page') as { session?: object } | null;
      return host?.session !== undefined;
    });
    expect(problems).toEqual([]);
    await page.close();
    server.closeAllConnections();
    server.close();
  });
});
