/**
 * CSV and Parquet from a recording of the real bench, read back and compared by the bits of each value. CSV is read by a
 * strict reader of our own and, where the machine has one, by the csv module of Python; Parquet by hyparquet.
 */
import { spawnSync } from 'node:child_process';
import { parquetMetadata, parquetReadObjects } from 'hyparquet';
import { ByteWriter } from 'hyparquet-writer';
import { describe, expect, it } from 'vitest';
import { exportCsv } from '../../src/recorder/exports/csv.ts';
import { exportParquet } from '../../src/recorder/exports/parquet.ts';
import { columnsOf } from '../../src/recorder/header.ts';
import { openRecording } from '../../src/recorder/reader.ts';
import type { Selection } from '../../src/recorder/rows.ts';
import { RecordingWriter } from '../../src/recorder/writer.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { toDisplay } from '../../src/units/convert.ts';
import { readCsv } from './csv-reader.ts';
import { hexOf } from './hex.ts';
import { END, Memory, RUN, recordPress, sourceOf } from './rig.ts';

const PRESS = recordPress(500);
const RECORDING = await openRecording(sourceOf(PRESS.bytes));
const IDS = ['tick', 'time', ...PRESS.columns.map(({ id }) => id)];
const none = (): never => {
  throw new Error('nothing is damaged here');
};

/** What a row must hold, in the order of the columns; NaN where there is no reading. */
const DUE = PRESS.samples.map((sample, k) => [
  PRESS.ticks[k],
  sample[SIGNAL_INDEX.time],
  ...PRESS.columns.map(({ id, storage }) => {
    const value = sample[SIGNAL_INDEX[id as SignalId]];
    return storage === 'float64' ? value : Math.fround(value);
  }),
]);
const DUE_HEX = DUE.map((row) => row.map(hexOf));

async function csvOf(selection: Parameters<typeof exportCsv>[1] = {}, recording = RECORDING): Promise<string> {
  const parts: string[] = [];
  await exportCsv(recording, selection, (part) => parts.push(part), none);
  return parts.join('');
}

async function parquetOf(selection: Selection = {}, recording = RECORDING): Promise<ArrayBuffer> {
  const writer = new ByteWriter();
  await exportParquet(recording, selection, writer, none);
  return writer.getBuffer();
}

const numberOf = (field: string) => (field === '' ? Number.NaN : Number(field));

/** A recording of values that are easily lost. */
async function oddRecording() {
  const memory = new Memory();
  const columns = columnsOf().filter(({ id }) => id === 'charge' || id === 'link');
  const writer = new RecordingWriter(memory.write, RUN, { columns, tick_s: 5e-5, every: 1 });
  // Of each width: zeros, the smallest, the largest, what no decimal of few digits gives, and no reading at all.
  const odd: readonly (readonly [wide: number, narrow: number])[] = [
    [0, 0],
    [-0, -0],
    [Number.MIN_VALUE, 2 ** -149],
    [-Number.MAX_VALUE, (2 - 2 ** -23) * 2 ** 127],
    [0.1, Math.fround(0.1)],
    [1 / 3, Math.fround(1 / 3)],
    [1e21, 2 ** 70],
    [1e-7, Math.fround(-1e-7)],
    [Number.NaN, Number.NaN],
    [Number.MAX_SAFE_INTEGER, 2 ** 24 - 1],
  ];
  const sample = new Float64Array(SIGNALS.length);
  odd.forEach(([wide, narrow], k) => {
    sample[SIGNAL_INDEX.charge] = wide;
    sample[SIGNAL_INDEX.link] = narrow;
    writer.row(k, sample);
  });
  writer.end(END);
  const hex = odd.map((pair) => pair.map(hexOf));
  return { recording: await openRecording(sourceOf(memory.bytes())), hex };
}

describe('CSV of a recording', () => {
  it('reads back to the bits of every value, names and SI units above', async () => {
    const [names, units, ...rows] = readCsv(await csvOf());
    expect(names).toEqual(IDS);
    expect(units).toEqual(['', 's', ...PRESS.columns.map(({ unit }) => unit)]);
    expect(rows.map((row) => row.map((field) => hexOf(numberOf(field))))).toEqual(DUE_HEX);
    const sensedC = IDS.indexOf('sensedC');
    expect(new Set(rows.map((row) => row[sensedC]))).toEqual(new Set(['']));
  });

  it('has the units that people read when asked to', async () => {
    const [, units, ...rows] = readCsv(await csvOf({ units: 'shown' }));
    expect(units).toEqual(['', 's', ...PRESS.columns.map(({ scale }) => scale.unit)]);
    rows.forEach((row, k) => {
      PRESS.columns.forEach(({ scale }, c) => {
        expect(hexOf(numberOf(row[c + 2]))).toBe(hexOf(toDisplay(DUE[k][c + 2], scale.unit)));
      });
    });
  });

  it('takes the signals, the time and every n-th row that are asked for', async () => {
    const text = await csvOf({ signals: ['hall', 'link'], from_s: 0.01, to_s: 0.0125, every: 10 });
    const [names, , ...rows] = readCsv(text);
    expect(names).toEqual(['tick', 'time', 'hall', 'link']);
    expect(rows.map(([tick]) => Number(tick))).toEqual([200, 210, 220, 230, 240, 250]);
    const wanted = [0, 1, IDS.indexOf('hall'), IDS.indexOf('link')];
    for (const row of rows) {
      expect(row.map((field) => hexOf(numberOf(field)))).toEqual(wanted.map((c) => DUE_HEX[Number(row[0]) - 1][c]));
    }
    await expect(csvOf({ signals: ['torque'] })).rejects.toThrow(
      "signal 'torque' is not in the recording; there are packOcv,",
    );
    await expect(csvOf({ every: 0 })).rejects.toThrow('every 0th row');
  });

  it('keeps -0, the smallest and the largest number', async () => {
    const { recording, hex } = await oddRecording();
    const rows = readCsv(await csvOf({ signals: ['charge', 'link'] }, recording)).slice(2);
    expect(rows.map((row) => row.slice(2).map((field) => hexOf(numberOf(field))))).toEqual(hex);
  });

  it('is read alike by another reader, where there is one', async () => {
    const text = await csvOf();
    const program =
      'import csv,io,json,struct,sys\n' +
      'rows=list(csv.reader(io.TextIOWrapper(sys.stdin.buffer,encoding="utf-8",newline=""),strict=True))\n' +
      'bits=lambda f: struct.pack(">d",float(f)).hex() if f else "7ff8000000000000"\n' +
      'print(json.dumps([rows[0],rows[1],[[bits(f) for f in r] for r in rows[2:]]]))\n';
    const python = spawnSync('python3', ['-c', program], { input: text, encoding: 'utf8', maxBuffer: 1 << 28 });
    if (python.error) console.log('python3 is not here: the strict reader above stands alone');
    else expect(JSON.parse(python.stdout)).toEqual([IDS, readCsv(text)[1], DUE_HEX]);
    expect(readCsv(text)).toHaveLength(502);
  });
});

describe('Parquet of a recording', () => {
  it('reads back to the bits of every value; what there is not is null', async () => {
    const rows = await parquetReadObjects({ file: await parquetOf() });
    expect(Object.keys(rows[0])).toEqual(IDS);
    const hex = rows.map((row) => IDS.map((id) => hexOf(row[id] === null ? Number.NaN : Number(row[id]))));
    expect(hex).toEqual(DUE_HEX);
    expect(rows.every(({ sensedC }) => sensedC === null)).toBe(true);
  });

  it('stores each signal as wide as the recording, with units and run in its metadata', async () => {
    const { schema, key_value_metadata, created_by } = parquetMetadata(await parquetOf());
    const types = Object.fromEntries(schema.slice(1).map(({ name, type }) => [name, type]));
    expect(types).toMatchObject({ tick: 'INT64', time: 'DOUBLE', charge: 'DOUBLE', link: 'FLOAT' });
    const facts = Object.fromEntries(
      (key_value_metadata ?? []).map(({ key, value }) => [key, JSON.parse(value ?? '')]),
    );
    expect(facts.units).toEqual({ time: 's', ...Object.fromEntries(PRESS.columns.map(({ id, unit }) => [id, unit])) });
    expect(facts.shown.motorSpeed).toEqual({ unit: 'rpm', factor: (2 * Math.PI) / 60, offset: 0 });
    expect(facts.recording).toMatchObject({ drill: 'bench-18', seed: 11, coupling: 'in-process' });
    expect(facts.end).toEqual(END);
    expect(created_by).toBe('phantom-spindle 0.1.0');
  });

  it('keeps -0, the smallest and the largest number', async () => {
    const { recording, hex } = await oddRecording();
    const rows = await parquetReadObjects({ file: await parquetOf({ signals: ['charge', 'link'] }, recording) });
    expect(rows.map(({ charge, link }) => [hexOf(charge ?? Number.NaN), hexOf(link ?? Number.NaN)])).toEqual(hex);
  });

  it('writes a long recording in groups of rows, none lost at their borders', async () => {
    const memory = new Memory();
    const columns = columnsOf().filter(({ id }) => id === 'chuckAngle');
    const writer = new RecordingWriter(memory.write, RUN, { columns, tick_s: 5e-5, every: 1 });
    const sample = new Float64Array(SIGNALS.length);
    for (let tick = 1; tick <= 80_000; tick++) {
      sample[SIGNAL_INDEX.chuckAngle] = tick / 7;
      writer.row(tick, sample);
    }
    writer.end(END);
    const file = await parquetOf({}, await openRecording(sourceOf(memory.bytes())));
    expect(parquetMetadata(file).row_groups.map(({ num_rows }) => Number(num_rows))).toEqual([32768, 32768, 14464]);
    const rows = await parquetReadObjects({ file });
    expect(rows.every(({ tick, chuckAngle }, k) => Number(tick) === k + 1 && chuckAngle === (k + 1) / 7)).toBe(true);
  });

  it('of no rows has its columns', async () => {
    const file = await parquetOf({}, await openRecording(sourceOf(recordPress(0).bytes)));
    expect(parquetMetadata(file).schema).toHaveLength(IDS.length + 1);
    expect(await parquetReadObjects({ file })).toEqual([]);
  });
});
