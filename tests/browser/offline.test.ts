/**
 * The page as a program that is kept: opened once, it opens without its server, whole; a newer build waits until it is asked for
 * and until the drill stands; a reload brings the set-up back, not the run.
 */
import { cpSync, mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { INSTALL_WORDS as WORDS } from '../../components/install/words.ts';
import { sealOffline } from '../../src/cli/node-offline.ts';
import { serve } from '../../src/cli/node-serve.ts';
import { SIGNAL_INDEX, type SignalId } from '../../src/signals.ts';
import { readSetUp } from '../../worker/set-up-link.ts';
import { launchBrowser } from '../support/browser.ts';

const DIST = process.env.PAGE_DIST ?? fileURLToPath(new URL('../../dist', import.meta.url));
/** From the start of loading to the first virtual time that passes [ms]: what a person takes for at once. */
const OPENS_MS = 2000;
const soon = { timeout: 20_000 };

interface Insight {
  readonly session?: {
    readonly record: { readonly now: Float64Array; headValue(name: string): number };
    readonly hands: Readonly<Record<string, number>>;
    readonly info: { readonly drill: string; readonly controller: string };
    setHands(hands: Readonly<Record<string, number>>): void;
    useBuiltIn(controller: string, drill: string): Promise<void>;
  };
}

describe('page that is kept', () => {
  const scratch = mkdtempSync(join(tmpdir(), 'phantom-spindle-offline-'));
  let served: Awaited<ReturnType<typeof serve>>;
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  const problems: string[] = [];
  const asked: string[] = [];

  beforeAll(async () => {
    [browser, served] = await Promise.all([launchBrowser({ noGl: true }), serve(DIST, 0)]);
    context = await browser.newContext({ viewport: { width: 1366, height: 768 } });
    context.on('request', (request) => asked.push(request.url()));
    page = await context.newPage();
    page.setDefaultTimeout(30_000);
    page.on('pageerror', (error) => problems.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') problems.push(message.text());
    });
    await page.goto(served.address);
  });
  afterAll(async () => {
    await browser?.close();
    stop();
    rmSync(scratch, { recursive: true, force: true });
  });

  const stop = () => {
    served.server.closeAllConnections();
    served.server.close();
  };
  const button = (name: string | RegExp) => page.getByRole('button', { name, exact: true });
  const says = (text: string | RegExp) => page.getByText(text).first().waitFor();
  const signal = (id: SignalId) =>
    page.evaluate((column) => {
      const host = document.querySelector('spindle-page') as unknown as Insight | null;
      return host?.session?.record.now[column] ?? Number.NaN;
    }, SIGNAL_INDEX[id]);
  const bench = () =>
    page.evaluate((): Record<string, number | string> | undefined => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      if (!session) return undefined;
      const { drill, controller } = session.info;
      const held: Readonly<Record<string, number>> = session.hands;
      return { drill, controller, ...held };
    });
  const hands = (moved: Readonly<Record<string, number>>) =>
    page.evaluate((given) => {
      (document.querySelector('spindle-page') as unknown as Insight).session?.setHands(given);
    }, moved);
  /** Waits until time passes; how long that took since the start of loading [ms]. */
  const timePasses = async (on: Page) => {
    const passed = await on.waitForFunction(() => {
      const host = document.querySelector('spindle-page') as unknown as Insight | null;
      return (host?.session?.record.now[0] ?? 0) > 0 ? performance.now() : undefined;
    });
    return Number(await passed.jsonValue());
  };
  const reload = async () => {
    await page.reload({ waitUntil: 'commit' });
    return timePasses(page);
  };
  const words = (times_ms: readonly number[]) => times_ms.map((ms) => ms.toFixed(0)).join(', ');

  it('has a manifest with all that a system asks for, and icons of the sizes that it states', async () => {
    const link = page.locator('link[rel=manifest]');
    const address = new URL((await link.getAttribute('href')) ?? '', page.url()).href;
    const answer = await page.request.get(address);
    expect(answer.headers()['content-type']).toContain('application/manifest+json');
    const manifest = await answer.json();
    expect(manifest).toMatchObject({ name: 'Phantom Spindle', start_url: './', scope: './', display: 'standalone' });
    const sizes = manifest.icons.map((icon: { sizes: string; purpose: string }) => `${icon.sizes} ${icon.purpose}`);
    // The sizes that browsers ask for before they offer to install; one that may be cut to any shape (from memory).
    expect(sizes).toEqual(expect.arrayContaining(['192x192 any', '512x512 any', '512x512 maskable']));
    for (const { src, sizes, type } of manifest.icons) {
      const icon = await page.request.get(new URL(src, address).href);
      expect(icon.headers()['content-type'], src).toBe(type);
      if (type !== 'image/png') continue;
      const bytes = await icon.body();
      // PNG (W3C): width and height are the first two numbers of the first chunk, at byte 16.
      expect(`${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`, src).toBe(sizes);
    }
  });

  it('opens without its server as fast as from it, isolated as before, and says beforehand that it will', async () => {
    await says(WORDS.offline);
    const plain = await browser.newContext({ serviceWorkers: 'block' });
    const visit = await plain.newPage();
    await page.goto('about:blank'); // one page has the machine to itself
    const fromServer_ms: number[] = [];
    for (let k = 0; k < 2; k++) {
      await visit.goto(served.address, { waitUntil: 'commit' });
      fromServer_ms.push(await timePasses(visit));
    }
    await plain.close();
    stop();
    await page.goto(served.address);
    const took_ms = [await reload(), await reload(), await reload()];
    console.log(
      `from the server ${words(fromServer_ms)} ms, without it ${words(took_ms)} ms after the start of loading`,
    );
    // The shortest: what else the machine does only adds. Where it does much, a page from its server is late as well; half
    // as long again is what such a machine makes of the same load from one time to the next.
    const limit_ms = Math.max(OPENS_MS, 1.5 * Math.min(...fromServer_ms));
    expect(Math.min(...took_ms)).toBeLessThan(limit_ms);
    expect(await page.evaluate(() => crossOriginIsolated)).toBe(true);
  });

  it('opens waves, faults, drills, keep and a lesson without its server, and plays a scenario of the library', async () => {
    for (const [name, tag] of [
      ['Waves', 'wave-bench'],
      ['Faults', 'fault-sheet'],
      ['Drills', 'drill-sheet'],
      ['Keep', 'keep-sheet'],
      ['Lesson', 'lesson-view'],
      ['Runs', 'runs-view'],
    ]) {
      await button(name).click();
      await page.locator(tag).first().waitFor();
    }
    await page.locator('runs-view .hit').first().waitFor();
    await page.keyboard.type('two halls swapped'); // the search has the focus
    await page.keyboard.press('Enter');
    await button('Two Halls swapped').click();
    await page.locator('runs-view').getByRole('button', { name: 'Play', exact: true }).click();
    await expect.poll(() => page.locator('runs-view .verdict').textContent(), soon).toMatch(/^(Passed|Failed)$/);
    expect(problems).toEqual([]);
  });

  it('keeps files of the build and nothing else', async () => {
    const kept = await page.evaluate(async () => {
      const names = await caches.keys();
      const lists = names.map(async (name) => (await (await caches.open(name)).keys()).map(({ url }) => url));
      return { names, urls: (await Promise.all(lists)).flat() };
    });
    expect(kept.names).toHaveLength(1);
    const files = readdirSync(DIST, { recursive: true, encoding: 'utf8' }).filter((file) => /\.\w+$/.test(file));
    const expected = files
      .filter((file) => file !== 'offline.js')
      .map((file) => served.address + (file === 'index.html' ? '' : file.replaceAll('\\', '/')));
    expect([...kept.urls].sort()).toEqual(expected.sort());
  });

  it('brings the set-up back after a reload in mid-run, at rest, and says so; a touch takes the words away', async () => {
    await page.evaluate(async () => {
      const { session } = document.querySelector('spindle-page') as unknown as Insight;
      await session?.useBuiltIn('hall-six-step', 'light-12');
    });
    await hands({ gear: 1, push_N: 60, meets: 0, trigger: 0.4 });
    await expect.poll(() => signal('motorSpeed'), soon).toBeGreaterThan(100);
    const took_ms = await reload();
    console.log(`reload in mid-run: time passes ${took_ms.toFixed(0)} ms after the start of loading`);
    await says(WORDS.asBefore);
    expect(await bench()).toMatchObject({ drill: 'light-12', gear: 1, push_N: 60, meets: 0, trigger: 0 });
    expect(await signal('motorSpeed')).toBe(0); // no demonstration begins either
    await page.getByRole('slider', { name: /Trigger/ }).press('ArrowUp');
    await expect.poll(() => page.getByText(WORDS.asBefore).count(), soon).toBe(0);
  });

  it('copies the link of the set-up, and the link goes before what was kept', async () => {
    await context.grantPermissions(['clipboard-read', 'clipboard-write']);
    await button('Keep').click();
    await button('Copy link').click();
    await says('The link is copied.');
    const link = await page.evaluate(() => navigator.clipboard.readText());
    expect(readSetUp(new URL(link).hash)).toMatchObject({
      ok: true,
      setUp: { drill: 'light-12', hands: { push_N: 60 } },
    });
    await hands({ push_N: 90, trigger: 0 });
    await page.goto(link); // differs by its fragment alone: the page stays and follows it
    await expect.poll(async () => (await bench())?.push_N, soon).toBe(60);
    await hands({ push_N: 90 });
    await reload();
    expect(await bench()).toMatchObject({ push_N: 60 });
    expect(await page.getByText(WORDS.asBefore).count()).toBe(0);
  });

  it('says that what was kept is broken, and stands as for a first visit', async () => {
    await page.evaluate(() => {
      history.replaceState(null, '', location.pathname);
      addEventListener('pagehide', () => sessionStorage.setItem('phantom-spindle-set-up', '#set-up=1.e30'));
    });
    await reload();
    await says(WORDS.notAsBefore);
    await says(/key 'drill' is missing/);
    expect(await bench()).toMatchObject({ drill: 'bench-18', gear: 2, push_N: 120, trigger: 0 });
    await button('Go on').click();
  });

  it('is told of a newer build and stays whole with its own; takes it when asked and when the drill stands', async () => {
    const next = join(scratch, 'next');
    cpSync(DIST, next, { recursive: true });
    // What another build is to an open page: a chunk of another name and no more the old one, and another index.
    const chunk = readdirSync(join(next, 'assets')).find((file) => file.startsWith('keep-sheet')) ?? '';
    renameSync(join(next, 'assets', chunk), join(next, 'assets', `next-${chunk}`));
    for (const file of ['index.html', ...readdirSync(join(next, 'assets')).map((name) => join('assets', name))]) {
      const text = readFileSync(join(next, file), 'utf8');
      writeFileSync(
        join(next, file),
        text.replaceAll(chunk, `next-${chunk}`).replace('<head>', '<head data-build="next">'),
      );
    }
    sealOffline(next);
    const port = Number(new URL(served.address).port);
    served = await serve(next, port);
    const build = () => page.evaluate(() => document.head.dataset.build ?? 'first');

    await reload(); // the browser looks for another build when a page is opened
    await says(WORDS.newer);
    expect(await build()).toBe('first');
    await button('Keep').click();
    await page.locator('keep-sheet').waitFor(); // of this build, which the server no longer has
    await button('Keep').click();
    expect((await page.request.get(`${served.address}assets/${chunk}`)).status()).toBe(404);

    await hands({ trigger: 0.3, meets: 0 });
    await expect.poll(() => signal('motorSpeed'), soon).toBeGreaterThan(50);
    await button(WORDS.take).click();
    await says(WORDS.waits);
    const at_s = await signal('time');
    await expect.poll(() => signal('time'), soon).toBeGreaterThan(at_s + 0.5); // it runs on
    expect(await build()).toBe('first');
    await hands({ trigger: 0 });
    await expect.poll(() => build().catch(() => 'reloads'), soon).toBe('next');
    await says(WORDS.asBefore);
    await says(WORDS.offline);
    await button('Keep').click();
    await page.locator('keep-sheet').waitFor();
  });

  it('asks no other origin, also from behind the page, and raises no error', () => {
    expect(asked.filter((url) => url.startsWith('http') && !url.startsWith(served.address))).toEqual([]);
    expect(asked.some((url) => url.endsWith('offline.js'))).toBe(true);
    expect(problems).toEqual([]);
  });
});
