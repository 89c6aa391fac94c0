/** The run into a file of the browser and out of it again: every tick once, the same values, each kind of file, what goes wrong. */
import { readFileSync } from 'node:fs';
import { parquetReadObjects } from 'hyparquet';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openRecording, type Recording, readChunk, verify } from '../../src/recorder/reader.ts';
import { readCsv } from '../recorder/csv-reader.ts';
import { readMdf } from '../recorder/mdf-reader.ts';
import { sourceOf } from '../recorder/rig.ts';
import { OpenPage } from '../support/page.ts';

/** Another browser takes its time to write and to list: a loaded machine of two cores sets it. */
const SOON = { timeout: 20_000, interval: 50 };

const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });

async function openKeep(page: Page): Promise<void> {
  await button(page, 'Keep').click();
  await page.getByRole('heading', { name: 'Recordings' }).waitFor();
}

/** Records until so much of the run is in it [s]. */
async function record(page: Page, least_s: number): Promise<void> {
  await button(page, 'Record').click();
  await reached(page, least_s);
}

const reached = (page: Page, least_s: number) =>
  expect
    .poll(async () => Number(/Recording: ([\d.]+)/.exec(await runs(page))?.[1] ?? 0), SOON)
    .toBeGreaterThan(least_s);

/** What the desk says of the recording that runs. */
const runs = (page: Page) =>
  page
    .locator('recording-desk .now')
    .textContent()
    .then((text) => text ?? '');

/** What a click makes the browser save. */
async function saved(page: Page, name: RegExp): Promise<Uint8Array> {
  const [download] = await Promise.all([page.waitForEvent('download'), button(page, name).first().click()]);
  return new Uint8Array(readFileSync(await download.path()));
}

/** Every row, tick by tick. */
async function rowsOf(recording: Recording): Promise<{ ticks: number[]; columns: number[][] }> {
  const ticks: number[] = [];
  const columns: number[][] = recording.header.columns.map(() => []);
  for (const entry of recording.chunks) {
    const chunk = await readChunk(recording, entry);
    for (let k = 0; k < chunk.rows; k++) ticks.push(chunk.firstTick + chunk.ticks[k]);
    chunk.columns.forEach((values, c) => {
      for (const value of values) columns[c].push(value);
    });
  }
  return { ticks, columns };
}

const consecutive = (ticks: readonly number[]) => ticks.every((tick, k) => k === 0 || tick === ticks[k - 1] + 1);

describe('a recording', () => {
  let open: OpenPage;
  let page: Page;
  let psrec: Uint8Array;
  let recording: Recording;
  let rows: Awaited<ReturnType<typeof rowsOf>>;
  beforeAll(async () => {
    open = await OpenPage.open({ noGl: true });
    page = open.page;
    await openKeep(page);
  });
  afterAll(async () => {
    await open?.close();
  });

  it('holds every tick of two seconds once, with the values that the bench keeps', async () => {
    await record(page, 2);
    await button(page, 'End recording').click();
    await open.shows(/^Ended\. .*psrec is in the list below\.$/);
    await button(page, 'Freeze').click();
    psrec = await saved(page, /^psrec: save /);
    recording = await openRecording(sourceOf(psrec));
    expect(await verify(recording)).toEqual([]);
    rows = await rowsOf(recording);
    expect(rows.ticks.length).toBeGreaterThan(40_000);
    expect(consecutive(rows.ticks)).toBe(true);
    const { header, end } = recording;
    expect(header.columns).toHaveLength(20);
    expect(header).toMatchObject({ drill: 'bench-18', controller: 'builtin:hall-six-step', coupling: 'in-process' });
    expect(header.drillSha256).toMatch(/^[0-9a-f]{64}$/);
    expect(header.scenario.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(end?.counters.rowsMissing).toBe(0);
    expect(end?.verdict).toBe('not judged');

    const last = 2000;
    const from = rows.ticks[rows.ticks.length - last];
    const kept = await page.evaluate(
      async ([from_s, to_s]) => {
        type Host = { session: { api: { look(ask: object): Promise<{ kind: string; data: Float32Array[] }> } } };
        const { session } = document.querySelector('spindle-page') as unknown as Host;
        const channels = ['packVoltage', 'currentA', 'rotorAngle'];
        const looked = await session.api.look({ run: 'now', channels, from_s, to_s, points: 4000 });
        return { kind: looked.kind, data: looked.data.map((each) => [...each]) };
      },
      [from * header.tick_s, rows.ticks[rows.ticks.length - 1] * header.tick_s],
    );
    expect(kept.kind).toBe('values');
    ['packVoltage', 'currentA', 'rotorAngle'].forEach((id, k) => {
      const place = header.columns.findIndex((column) => column.id === id);
      expect(rows.columns[place].slice(-last), id).toEqual(kept.data[k]);
    });
    expect(new Set(kept.data[0]).size).toBeGreaterThan(10);
  });

  it('is handed out as CSV, Parquet and MDF 4 with the same numbers', async () => {
    const { columns, tick_s } = recording.header;
    const place = columns.findIndex(({ id }) => id === 'currentA');
    const due = rows.columns[place];
    const csv = readCsv(new TextDecoder().decode(await saved(page, /^CSV: save /)));
    expect(csv[0]).toEqual(['tick', 'time', ...columns.map(({ id }) => id)]);
    expect(csv.slice(2).map((row) => Number(row[0]))).toEqual(rows.ticks);
    expect(csv.slice(2).map((row) => Number(row[2 + place]))).toEqual(due);
    const table = await parquetReadObjects({
      file: (await saved(page, /^Parquet: save /)).buffer as ArrayBuffer,
      columns: ['tick', 'time', 'currentA'],
    });
    expect(table.map((row) => Number(row.tick))).toEqual(rows.ticks);
    expect(table.map((row) => row.currentA)).toEqual(due);
    expect(table[0].time).toBe(rows.ticks[0] * tick_s);
    const mdf = readMdf(await saved(page, /^MDF 4: save /));
    expect(mdf.cycles).toBe(rows.ticks.length);
    const channel = mdf.channels.findIndex(({ name }) => name === 'currentA');
    expect(Array.from({ length: 500 }, (_, k) => mdf.raw(channel, k))).toEqual(due.slice(0, 500));
  });
});
