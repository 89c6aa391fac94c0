/** Recordings when something goes wrong: another tab, a reload, no room, no file system; and the one after the fact. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openRecording, verify } from '../../src/recorder/reader.ts';
import { sourceOf } from '../recorder/rig.ts';
import { OpenPage } from '../support/page.ts';
import { rowsOf } from '../support/recorded-rows.ts';
import { button, consecutive, openKeep, record, SOON, saved } from './recording-rig.ts';

/** Room for some seconds of all signals, and for less of them than the test would wait for [bytes]. */
const LITTLE_ROOM_B = 3_000_000;

const items = (page: Page) => page.locator('recording-list li');
const nameOf = async (page: Page) => (await items(page).first().locator('b').textContent()) ?? '';

/** Asks the page to delete one, past the buttons. */
const asked = (page: Page, name: string): Promise<string> =>
  page.locator('recording-list').evaluate((list, which) => {
    const { recordings } = list as unknown as { recordings: { remove(name: string): Promise<string> } };
    return recordings.remove(which);
  }, name);

describe('a recording that runs', () => {
  let open: OpenPage;
  let page: Page;
  let profile: string;
  beforeAll(async () => {
    profile = mkdtempSync(join(tmpdir(), 'recordings-'));
    open = await OpenPage.open({ noGl: true, profile });
    page = open.page;
    await openKeep(page);
  });
  afterAll(async () => {
    await open?.close();
    rmSync(profile, { recursive: true, force: true });
  });

  it('is not deleted, and belongs to its tab: another one sees it and leaves it alone', async () => {
    await record(page, 0.3);
    await button(page, '1/10, a tenth of life').click(); // it goes on, and does not grow much
    await open.shows('Being recorded here.');
    await open.shows(/^recording [\d.]+/); // the head tells it with the sheet closed, too
    const name = await nameOf(page);
    expect(name).toMatch(/bench-18\.psrec$/);
    expect(await asked(page, name)).toMatch(/is being recorded\. End the recording first\./);
    const [other] = await Promise.all([
      page.waitForEvent('popup'),
      page.evaluate(() => void window.open(location.href)),
    ]);
    await openKeep(other);
    await other.getByText('Being recorded by another tab of this page.').waitFor();
    expect(await items(other).getByRole('button').count()).toBe(0);
    expect(await asked(other, name)).toMatch(/is being recorded by another tab of this page/);
    await other.close();
  });

  it('is kept to the last second when the page is gone, told as cut off, and read', async () => {
    const time_s = await open.signal('time');
    await expect.poll(() => open.signal('time'), SOON).toBeGreaterThan(time_s + 0.1); // a second at this pace: one flush at least
    await page.reload();
    await open.until('time', (t) => t > 0);
    await openKeep(page);
    await open.shows('Cut off: it has no end.');
    const recording = await openRecording(sourceOf(await saved(page, /^psrec: save /)));
    expect(recording.end).toBeUndefined();
    expect((await verify(recording)).map(({ text }) => text).join()).toMatch(/was not ended/);
    const { ticks: kept } = await rowsOf(recording);
    expect(kept.length).toBeGreaterThan(2000);
    expect(consecutive(kept)).toBe(true);
    await expect(saved(page, /^CSV: save /).then(({ length }) => length)).resolves.toBeGreaterThan(100_000);
    await open.shows(/Not all of it could be read: .*was not ended/);
  });

  it('is deleted after one question', async () => {
    await button(page, /^Delete 2/).click();
    await button(page, 'Keep it').click();
    expect(await items(page).count()).toBe(1);
    await button(page, /^Delete 2/).click();
    await button(page, /^Delete for good 2/).click();
    await expect.poll(() => items(page).count(), SOON).toBe(0);
    await open.shows('None yet.');
    // The focus does not fall out of the sheet with the line that had it.
    expect(await page.locator('recording-list').evaluate((list) => list.shadowRoot?.activeElement?.id)).toBe('kept');
  });

  it('ends where there is no more room, keeps what it has, and the drill runs on', async () => {
    const cdp = await page.context().newCDPSession(page);
    const { origin } = new URL(page.url());
    const { usage } = (await cdp.send('Storage.getUsageAndQuota', { origin })) as { usage: number };
    await cdp.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: usage + LITTLE_ROOM_B });
    await page.getByLabel('Signals').selectOption('all');
    await button(page, 'Record').click();
    await page.getByText(/^The recording ended: the browser has no more room/).waitFor();
    const time_s = await open.signal('time');
    await expect.poll(() => open.signal('time'), SOON).toBeGreaterThan(time_s);
    await cdp.send('Storage.overrideQuotaForOrigin', { origin });
    const bytes = await saved(page, /^psrec: save /);
    expect(bytes.length).toBeLessThanOrEqual(LITTLE_ROOM_B);
    const { ticks } = await rowsOf(await openRecording(sourceOf(bytes)));
    expect(ticks.length).toBeGreaterThan(1000);
    expect(consecutive(ticks)).toBe(true);
  });

  it('can be made after the fact, of what the bench keeps', async () => {
    await page.getByLabel('Signals').selectOption('usual');
    await button(page, 'Keep the last 9 s').click();
    await page.getByText(/^Ended\. /).waitFor();
    const recording = await openRecording(sourceOf(await saved(page, /^psrec: save /)));
    expect(await verify(recording)).toEqual([]);
    const { ticks } = await rowsOf(recording);
    expect(ticks.length).toBeGreaterThan(2000);
    expect(consecutive(ticks)).toBe(true);
    expect(recording.end?.why).toMatch(/taken from what the bench keeps/);
  });

  it('stays in the tab where the browser has no files for pages, and says so', async () => {
    // What works offline is not asked for again: here the worker has to come from where it can be changed.
    await page.evaluate(async () => {
      for (const each of await navigator.serviceWorker.getRegistrations()) await each.unregister();
    });
    await page.addInitScript(() => Object.defineProperty(navigator, 'serviceWorker', { value: undefined }));
    await page.route('**/recording.worker*.js', async (route) => {
      const response = await route.fetch();
      await route.fulfill({ response, body: `delete StorageManager.prototype.getDirectory;${await response.text()}` });
    });
    await page.reload();
    await open.until('time', (t) => t > 0);
    await openKeep(page);
    await open.shows(/gives the page no file system of its own.*Save them before you close it/);
    await record(page, 0.2);
    await button(page, 'End recording').click();
    await open.shows(/in this tab only/);
    const recording = await openRecording(sourceOf(await saved(page, /^psrec: save /)));
    expect(await verify(recording)).toEqual([]);
    expect(recording.end?.verdict).toBe('not judged');
    await saved(page, /^MDF 4: save /);
    await open.shows(/\.mf4 was handed to the browser to save/);
  });

  it('raises no error in all of this', () => {
    expect(open.problems).toEqual([]);
  });
});
