/** The built page in a browser, with the few questions that the tests ask it. */
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { serve } from '../../src/cli/node-serve.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import type { Played } from '../../worker/api.ts';
import { type BrowserOptions, launchBrowser, launchProfile, type Served } from './browser.ts';

/** The built page; another folder than dist when PAGE_DIST names one. */
const DIST = process.env.PAGE_DIST ?? fileURLToPath(new URL('../../dist', import.meta.url));
/** Longest wait for anything on the page [ms]: a loaded machine of two cores, not the page, sets it. */
const PATIENCE_MS = 30_000;

/** What the page element holds, as far as tests look into it. */
interface Insight {
  session?: {
    record: { now: Float64Array; headValue(name: string): number; tick_s: number };
    hands: { trigger: number };
    api: { playScenario(scenario: Scenario): Promise<Played> };
  };
}

/** The page as users get it: with the headers that forbid what it must not need. */
async function servePage(): Promise<Served> {
  const { server, address } = await serve(DIST, 0);
  return {
    url: address,
    close: () =>
      new Promise((done) => {
        server.closeAllConnections();
        server.close(() => done());
      }),
  };
}

export class OpenPage {
  readonly page: Page;
  /** Errors that the page raised or printed. */ readonly problems: string[] = [];
  private readonly browser: Browser | BrowserContext;
  private readonly served: Served;

  private constructor(browser: Browser | BrowserContext, served: Served, page: Page) {
    this.browser = browser;
    this.served = served;
    this.page = page;
    page.setDefaultTimeout(PATIENCE_MS);
    page.on('pageerror', (error) => this.problems.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') this.problems.push(message.text());
    });
  }

  /** Opens the page that `npm run build` made, and waits until its drill has begun to run. */
  static async open(options: BrowserOptions & { readonly hash?: string } = {}): Promise<OpenPage> {
    if (!existsSync(`${DIST}/index.html`)) throw new Error(`no page in ${DIST}; run 'npm run build' first`);
    const { profile } = options;
    const launched = profile === undefined ? launchBrowser(options) : launchProfile(profile, options);
    const [browser, served] = await Promise.all([launched, servePage()]);
    const page = await browser.newPage();
    await page.setViewportSize({ width: 1366, height: 768 });
    const open = new OpenPage(browser, served, page);
    await open.page.goto(served.url + (options.hash ?? ''));
    await open.until('time', (t) => t > 0);
    return open;
  }

  async close(): Promise<void> {
    await this.browser.close();
    await this.served.close();
  }

  /** The latest value of a signal, SI. */
  signal(id: SignalId): Promise<number> {
    return this.page.evaluate((column) => {
      const host = document.querySelector('spindle-page') as unknown as Insight | null;
      return host?.session?.record.now[column] ?? Number.NaN;
    }, SIGNAL_INDEX[id]);
  }

  /** A number of the latest block: ratio, lost_s, running and so on. */
  head(name: string): Promise<number> {
    return this.page.evaluate((key) => {
      const host = document.querySelector('spindle-page') as unknown as Insight | null;
      return host?.session?.record.headValue(key) ?? Number.NaN;
    }, name);
  }

  /** Waits until a signal fulfils a condition; fails with its last value. */
  async until(id: SignalId, holds: (value: number) => boolean): Promise<number> {
    const end_ms = performance.now() + PATIENCE_MS;
    let value = Number.NaN;
    while (performance.now() < end_ms) {
      value = await this.signal(id);
      if (holds(value)) return value;
      await this.page.waitForTimeout(30);
    }
    throw new Error(`signal '${id}' is ${value} after ${PATIENCE_MS / 1000} s; the condition ${holds} was never met`);
  }

  /** Waits until the page shows a text anywhere. */
  async shows(text: string | RegExp): Promise<void> {
    await this.page.getByText(text).first().waitFor();
  }

  /** Pixels of the waves of Record that are drawn on, where they are drawn without the graphics card. */
  inked(): Promise<number> {
    return this.page.evaluate(() => {
      const record = document.querySelector('spindle-page')?.shadowRoot?.querySelector('record-view');
      const canvas = record?.shadowRoot?.querySelector<HTMLCanvasElement>('.waves canvas');
      const pixels = canvas?.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height).data ?? [];
      let count = 0;
      for (let k = 3; k < pixels.length; k += 4) if (pixels[k] > 128) count++;
      return count;
    });
  }

  /** Runs a timeline in the page's own worker. */
  playInWorker(scenario: Scenario): Promise<Played> {
    return this.page.evaluate(async (s) => {
      const host = document.querySelector('spindle-page') as unknown as Insight;
      if (!host.session) throw new Error('the page has no session');
      return host.session.api.playScenario(s);
    }, scenario);
  }
}
