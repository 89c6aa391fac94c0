/**
 * Web Serial in Chromium: the real wire, session and framing in a page and in a worker, over an object with the shape of a
 * SerialPort whose bytes go to a real pty and the C starter behind it. A machine without a serial port has no other way; what
 * the object does is taken from the standard and its public tests (tests/links/web-serial-port.ts).
 */
import type { AddressInfo } from 'node:net';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type WebSocket, WebSocketServer } from 'ws';
import { openSerialWire } from '../../src/links/node-serial.ts';
import type { Wire } from '../../src/links/wire.ts';
import { hasSerialport, hasSocat, Pty } from '../links/serial-pty.ts';
import { launchBrowser } from '../support/browser.ts';
import { starterCommand } from '../support/c-starter.ts';
import type { SerialBench } from './web-serial-page.ts';
import { script } from './web-serial-script.ts';

/** Puts each WebSocket on a pty with the C starter behind it. */
class Bench {
  readonly ptys: Pty[] = [];
  private readonly server = new WebSocketServer({ host: '127.0.0.1', port: 0 });
  private readonly command: string;

  constructor(command: string) {
    this.command = command;
    this.server.on('connection', (socket) => this.tie(socket));
  }

  get address(): string {
    return `ws://127.0.0.1:${(this.server.address() as AddressInfo).port}`;
  }

  private async tie(socket: WebSocket): Promise<void> {
    const early: Uint8Array[] = [];
    let wire: Wire | undefined;
    socket.on('message', (bytes: Buffer) => (wire ? wire.send(bytes) : early.push(bytes)));
    const pty = new Pty();
    this.ptys.push(pty);
    await pty.plugProgram(this.command);
    wire = await openSerialWire(pty.path);
    wire.attach({
      progress: '',
      take: (bytes) => socket.send(bytes.slice()),
      lose: () => socket.close(),
    });
    for (const bytes of early) wire.send(bytes);
    socket.on('close', () => void wire!.close().then(() => pty.remove()));
  }

  /** Pulls the plug of every board. */
  async unplug(): Promise<void> {
    await Promise.all(this.ptys.map((pty) => pty.unplug()));
  }

  async close(): Promise<void> {
    for (const socket of this.server.clients) socket.terminate();
    this.server.close();
    await Promise.all(this.ptys.map((pty) => pty.remove()));
  }
}

declare const serialBench: SerialBench;

describe.runIf(hasSocat && hasSerialport)('Web Serial in Chromium, with the C starter behind a pty', () => {
  let browser: Browser;
  let page: Page;
  let bench: Bench;
  let workerScript: string;
  let pageScript: string;

  beforeAll(async () => {
    [pageScript, workerScript] = await Promise.all([script('web-serial-page.ts'), script('web-serial-worker.ts')]);
    bench = new Bench(await starterCommand());
    browser = await launchBrowser({ noGl: true });
  }, 120_000);
  afterAll(async () => {
    await browser?.close();
    await bench?.close();
  });

  async function open(baud = 115_200) {
    page = await browser.newPage();
    await page.addScriptTag({ content: pageScript });
    return page.evaluate(({ address, baud }) => serialBench.open(address, baud), { address: bench.address, baud });
  }
  const exchanges = (count: number) => page.evaluate((n) => serialBench.exchanges(n), count);
  const counters = () => page.evaluate(() => serialBench.counters());
  afterEach(() => page?.close());

  it('exchanges frames, and gives the port back', async () => {
    const { hello, roundTrip } = await open();
    expect(hello).toMatchObject({ board: expect.any(String), virtualTick: true });
    expect(roundTrip).toMatchObject({ missed: 0 });
    expect(await exchanges(300)).toBe('ok');
    expect(await counters()).toMatchObject({ answered: 300, words: '', drops: { badCrc: 0, badCobs: 0, tooLong: 0 } });
    await page.evaluate(() => serialBench.close());
    expect(await page.evaluate(() => serialBench.portIsOpen())).toBe(false);
  });

  it.each([
    ['BreakError', 'held low'],
    ['BufferOverrunError', 'faster than they were taken'],
    ['FramingError', 'stop bit'],
    ['ParityError', 'parity'],
  ])('goes on after %s, counts it and says what it is', async (name, words) => {
    await open();
    expect(await exchanges(20)).toBe('ok');
    await page.evaluate((each) => serialBench.fail(each), name);
    expect(await exchanges(20)).toBe('ok');
    const seen = await counters();
    expect(seen.errors).toMatchObject({ [name]: 1 });
    expect(seen.words).toContain(words);
    expect(seen.answered).toBe(40);
    await page.evaluate(() => serialBench.close());
  });

  it('at the wrong baud rate hears other bytes and missing stop bits, and asks for it in words', async () => {
    page = await browser.newPage();
    await page.addScriptTag({ content: pageScript });
    const fails = await page.evaluate((address) => serialBench.openFails(address, 230_400), bench.address);
    expect(fails).toMatch(
      /^port: no Hello within 3 s; \d+ bytes came.* (FramingError|BreakError) .*; baud or wiring\?$/,
    );
    const said = await page.evaluate(() => serialBench.said);
    expect(said[0]).toMatch(/^port: \d (FramingError|BreakError).*; baud or wiring\?$/);
    expect(await page.evaluate(() => serialBench.portIsOpen())).toBe(false);
  });

  it('is lost in words when the board is unplugged, and joins the same board behind a new port', async () => {
    const { hello } = await open();
    expect(await exchanges(20)).toBe('ok');
    await page.evaluate(() => serialBench.unplug());
    await bench.unplug();
    const loss = await exchanges(1_000_000);
    expect(loss).toMatchObject({ cause: 'closed' });
    expect((loss as { message: string }).message).toMatch(/^port: the port is gone: .*was the board unplugged/);
    await page.evaluate(() => serialBench.close());
    const joined = page.evaluate(() => serialBench.rejoin());
    await page.waitForTimeout(300);
    await page.evaluate((address) => serialBench.plugIn(address), bench.address);
    expect(await joined).toEqual({ outcome: 'joined', uid: (hello as { uid: string }).uid, another: true });
    expect(await exchanges(20)).toBe('ok');
    await page.evaluate(() => serialBench.close());
  });

  it('runs in a worker over transferred streams, through a line error', async () => {
    page = await browser.newPage();
    await page.addScriptTag({ content: pageScript });
    const report = await page.evaluate(({ address, source }) => serialBench.inWorker(address, source), {
      address: bench.address,
      source: workerScript,
    });
    expect(report).toMatchObject({ answered: 100, errors: { FramingError: 1 }, isOpen: false });
    expect(report).not.toHaveProperty('failure');
  });
});
