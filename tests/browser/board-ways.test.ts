/** The other ways from the page to a board: behind the bridge that serves the page, and on a serial port of the window. */
import { createServer, type Socket } from 'node:net';
import { fileURLToPath } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { Bridge } from '../../src/cli/node-bridge.ts';
import { linkPlace } from '../../src/links/node-kinds.ts';
import { ServedController } from '../../src/links/served.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { socketServer } from '../links/ws-server.ts';
import { launchBrowser, serveFolder } from '../support/browser.ts';

const DIST = fileURLToPath(new URL('../../dist', import.meta.url));
const PATIENCE_MS = 30_000;

/** A board that speaks stuffed frames, as on a line. */
function lineBoard(send: (bytes: Uint8Array) => void): ServedController {
  return new ServedController(builtInFor('hall-six-step', BENCH_18, boardFor(BENCH_18)), (bytes) =>
    send(bytes.slice()),
  );
}

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser({ noGl: true });
});
afterAll(async () => {
  await browser?.close();
});
const after: (() => Promise<unknown>)[] = [];
afterEach(async () => {
  for (const each of after.splice(0).reverse()) await each();
});

async function newPage(): Promise<Page> {
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  page.setDefaultTimeout(PATIENCE_MS);
  after.push(() => page.close());
  return page;
}
const press = (page: Page, name: string) => page.getByRole('button', { name, exact: true }).click();
const shows = (page: Page, text: string | RegExp) => page.getByText(text).first().waitFor();

/** Arms what is connected, squeezes, and waits for the frames to be answered. */
async function drive(page: Page): Promise<void> {
  await shows(page, 'Connected, not armed');
  await press(page, 'Arm');
  await press(page, 'It is off: arm now');
  await page.getByRole('button', { name: 'Disarm' }).waitFor();
  await page.keyboard.down('t');
  const answered = page.getByRole('row', { name: 'Answered so far' }).locator('td');
  await expect.poll(async () => Number(await answered.textContent()), { timeout: PATIENCE_MS }).toBeGreaterThan(200);
  await page.keyboard.up('t');
}

describe('the board behind the bridge', () => {
  it('waits for a press on the page, a key at the bridge and two presses more; a reload finds the way back', async () => {
    const sockets = new Set<Socket>();
    const server = createServer((socket) => {
      sockets.add(socket);
      socket.on('error', () => undefined);
      const board = lineBoard((bytes) => socket.write(bytes));
      socket.on('data', (chunk) => board.receiver.push(chunk));
    });
    await new Promise<void>((ready) => server.listen(0, '127.0.0.1', ready));
    after.push(async () => {
      for (const socket of sockets) socket.destroy();
      server.close();
    });
    const { port } = server.address() as { port: number };
    const said: string[] = [];
    const place = linkPlace(`tcp:127.0.0.1:${port}`);
    if (!place) throw new Error('tcp is no kind of link any more');
    const bridge = new Bridge(place, { folder: DIST, port: 0, yes: false, say: (line) => said.push(line) });
    await bridge.open();
    after.push(() => bridge.close());

    const page = await newPage();
    await page.goto(bridge.address);
    await shows(page, 'The board behind the bridge');
    expect(new URL(page.url()).hash).toBe('');
    expect(said.some((line) => line.includes('a page has come'))).toBe(false);
    await press(page, 'Power stage is off: connect');
    await shows(page, /Press Enter at the bridge/);
    bridge.press();
    await drive(page);
    expect(bridge.withheld).toBe(0);

    await page.reload();
    await press(page, 'Power stage is off: connect');
    await drive(page);
    expect(said).toContain('the page has come back');
  });
});

/** What stands in for navigator.serial: a port whose line ends at a WebSocket of the test. */
function serialStandIn(address: string): void {
  const socket = new WebSocket(address);
  socket.binaryType = 'arraybuffer';
  const port = {
    readable: null as ReadableStream | null,
    writable: null as WritableStream | null,
    getInfo: () => ({ usbVendorId: 0x1209, usbProductId: 1 }),
    async open(options: { baudRate: number }) {
      (globalThis as { opened?: unknown }).opened = options.baudRate;
      this.readable = new ReadableStream({
        start(controller) {
          socket.onmessage = ({ data }) => controller.enqueue(new Uint8Array(data));
          socket.onclose = () => controller.error(new DOMException('The device has been lost.', 'NetworkError'));
        },
      });
      this.writable = new WritableStream({ write: (bytes) => socket.send(bytes) });
    },
    async close() {},
  };
  const serial = Object.assign(new EventTarget(), {
    /** As a browser does: only within a click. */
    async requestPort() {
      if (!navigator.userActivation.isActive)
        throw new DOMException('Must be handling a user gesture.', 'SecurityError');
      return port;
    },
    getPorts: async () => [],
  });
  Object.defineProperty(Navigator.prototype, 'serial', { configurable: true, get: () => serial });
}

describe('a board on a serial port', () => {
  it('is chosen within the click, lent to the worker, and drives; unplugged, it is lost in words', async () => {
    const line = await socketServer((socket) => {
      const board = lineBoard((bytes) => socket.send(bytes));
      socket.on('message', (data: Buffer) => board.receiver.push(data));
      after.push(async () => socket.terminate());
      unplug = () => socket.terminate();
    });
    let unplug = (): void => undefined;
    after.push(() => line.close());
    const served = await serveFolder(DIST);
    after.push(() => served.close());
    const page = await newPage();
    await page.addInitScript(serialStandIn, line.address);
    await page.goto(served.url);
    await page.getByRole('button', { name: /^Who drives: / }).click();
    await page.getByLabel('Rate of the line').selectOption('115200');
    await press(page, 'Choose a port and connect');
    await drive(page);
    expect(await page.evaluate(() => (globalThis as { opened?: number }).opened)).toBe(115_200);
    await shows(page, 'serial port 1209:0001 at 115200 Bd');
    unplug();
    await shows(page, /The device has been lost\.|the port is gone/);
    await shows(page, 'Controller lost');
  });

  it('is replaced by words where the browser has no serial ports', async () => {
    const served = await serveFolder(DIST);
    after.push(() => served.close());
    const page = await newPage();
    await page.addInitScript(() => {
      Object.defineProperty(Navigator.prototype, 'serial', { configurable: true, get: () => undefined });
    });
    await page.goto(served.url);
    await page.getByRole('button', { name: /^Who drives: / }).click();
    await shows(page, /a browser with Web Serial is needed/i);
    expect(await page.getByRole('button', { name: 'Choose a port and connect' }).count()).toBe(0);
  });
});
