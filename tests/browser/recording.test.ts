/** The run into a file of the browser and out of it again: every tick once, the same values, each kind of file. */
import { parquetReadObjects } from 'hyparquet';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openRecording, verify } from '../../src/recorder/reader.ts';
import { readCsv } from '../recorder/csv-reader.ts';
import { readMdf } from '../recorder/mdf-reader.ts';
import { sourceOf } from '../recorder/rig.ts';
import { OpenPage } from '../support/page.ts';
import { rowsOf } from '../support/recorded-rows.ts';
import { button, consecutive, openKeep, record, saved } from './recording-rig.ts';

describe('a recording', () => {
  let open: OpenPage;
  let page: Page;
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
    await open.shows(/^Ended\. .*psrec is in the list\.$/);
    await button(page, 'Freeze').click();
    const recording = await openRecording(sourceOf(await saved(page, /^psrec: save /)));
    expect(await verify(recording)).toEqual([]);
    const rows = await rowsOf(recording);
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

  it('is handed out as CSV, Parquet and MDF 4 with the same numbers, with fewer rows where that is asked', async () => {
    await page.getByLabel('Rows').selectOption('20');
    await button(page, 'Run').click();
    await record(page, 0.3);
    await button(page, 'End recording').click();
    await open.shows(/^Ended\. /);
    const recording = await openRecording(sourceOf(await saved(page, /^psrec: save /)));
    const rows = await rowsOf(recording);
    expect(rows.ticks.length).toBeGreaterThan(290);
    expect(rows.ticks.every((tick, k) => tick % 20 === 0 && tick === rows.ticks[0] + 20 * k)).toBe(true);
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
    expect(due.map((_, k) => mdf.raw(channel, k))).toEqual(due);
  });
});
