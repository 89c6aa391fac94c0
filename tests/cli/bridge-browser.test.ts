/** A real browser at the bridge: a page from anywhere but the bridge itself cannot reach the board. */
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { offeredProtocols } from '../../src/links/web-socket-bridge.ts';
import { launchBrowser, type Served, serveFolder } from '../support/browser.ts';
import { BOARD_LINK, buildPage, inWorker } from './bridge-page.ts';
import { type RunningBridge, runBridge } from './bridge-rig.ts';

const socketOf = (address: string): string => `${new URL(address).origin.replace('http', 'ws')}/board`;

/** Runs in a page: what becomes of a socket. */
const tryToOpen = ([address, protocols]: readonly [string, string[]]): Promise<string> =>
  new Promise((resolve) => {
    const socket = new WebSocket(address, protocols);
    socket.onopen = () => resolve('it opened');
    socket.onclose = ({ code }) => resolve(`closed with ${code}`);
  });

describe('bridge and a browser', () => {
  let browser: Browser;
  let running: RunningBridge;
  let elsewhere: Served;
  beforeAll(async () => {
    const page = await buildPage();
    [browser, elsewhere] = await Promise.all([launchBrowser({ noGl: true }), serveFolder(page)]);
    running = await runBridge(BOARD_LINK, { page });
  });
  afterAll(async () => {
    await browser?.close();
    await running?.close();
    await elsewhere?.close();
  });

  it('a page of another port cannot open the socket, though it knows a good token', async () => {
    running.bridge.press(); // prints a fresh address
    const { address } = running.bridge;
    const page = await browser.newPage();
    await page.goto(elsewhere.url);
    const there = [socketOf(address), offeredProtocols(address.split('#bridge=')[1])] as const;
    const seen = await page.evaluate(tryToOpen, there);
    expect(seen).toBe('closed with 1006');
    await running.shows(`refused a socket asked by a page of '${new URL(elsewhere.url).origin}'`);
    // Neither can it read what the bridge serves, nor hold it in a frame.
    const read = await page.evaluate(
      (to) =>
        fetch(to).then(
          (r) => r.text(),
          (error) => `${error}`,
        ),
      address,
    );
    expect(read).toContain('Failed to fetch');
    await page.setContent(`<iframe src="${address}"></iframe>`);
    await page.waitForTimeout(300);
    const framed = await Promise.all(page.frames().map((frame) => frame.title().catch(() => '')));
    expect(framed).not.toContain('bench');
    await page.close();
    // The token that was tried is still good for the bridge's own page.
    const own = await browser.newPage();
    await own.goto(address);
    expect(await own.evaluate(tryToOpen, there)).toBe('it opened');
    await own.close();
  });

  it('a page from https is told why it does not come through, and what to do', async () => {
    const page = await browser.newPage();
    await page.route('https://drill.example/**', (route) => {
      const path = new URL(route.request().url()).pathname;
      return path === '/worker.js'
        ? route.fetch({ url: `${elsewhere.url}worker.js` }).then((response) => route.fulfill({ response }))
        : route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>from the web</title>' });
    });
    await page.goto('https://drill.example/');
    const plain = socketOf(running.bridge.address);
    const { error } = await inWorker(page, { address: '', exchanges: 0, plain });
    expect(error).toContain(`${plain}: cannot connect`);
    expect(error).toContain(
      'This page comes from https://drill.example, and a browser may keep a page from https from',
    );
    expect(error).toContain(
      "open the page that the bridge serves instead: 'npm run sim -- bridge LINK' prints its address",
    );
    await page.close();
  });
});
