/** Recordings of the page as tests work with them. */
import { readFileSync } from 'node:fs';
import type { Page } from 'playwright-core';
import { expect } from 'vitest';

/** A browser takes its time to write and to list: a loaded machine of two cores sets it. */
export const SOON = { timeout: 20_000, interval: 50 };

export const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });

export async function openKeep(page: Page): Promise<void> {
  await button(page, 'Keep').click();
  await page.getByRole('heading', { name: 'Recordings' }).waitFor();
}

/** Records until so much of the run is in it [s]. */
export async function record(page: Page, least_s: number): Promise<void> {
  await button(page, 'Record').click();
  await expect
    .poll(async () => Number(/Recording: ([\d.]+)/.exec(await runs(page))?.[1] ?? 0), SOON)
    .toBeGreaterThan(least_s);
}

/** What the desk says of the recording that runs. */
const runs = (page: Page) =>
  page
    .locator('recording-desk .now')
    .textContent()
    .then((text) => text ?? '');

/** What a click makes the browser save. */
export async function saved(page: Page, name: RegExp): Promise<Uint8Array> {
  const [download] = await Promise.all([page.waitForEvent('download'), button(page, name).first().click()]);
  return new Uint8Array(readFileSync(await download.path()));
}

export const consecutive = (ticks: readonly number[]): boolean =>
  ticks.every((tick, k) => k === 0 || tick === ticks[k - 1] + 1);
