/** Recording a run and exporting it, from outside: what is kept whatever ends the run, and what is said of bad input. */
import { spawn } from 'node:child_process';
import { existsSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parquetReadObjects } from 'hyparquet';
import { describe, expect, it } from 'vitest';
import { crc32 } from '../../src/recorder/crc32.ts';
import { FileSource } from '../../src/recorder/node-file.ts';
import { openRecording, verify } from '../../src/recorder/reader.ts';
import { SIGNALS } from '../../src/signals.ts';
import { readCsv } from '../recorder/csv-reader.ts';
import { readMdf } from '../recorder/mdf-reader.ts';
import { folder, json, pressText, scenarioFile, sim, wayward } from './sim.ts';

const dir = folder();
const press = scenarioFile(dir, 'press.yaml', pressText('100 rpm'));
const recorded = join(dir, 'press.psrec');
const report = join(dir, 'press.json');
const made = await sim('run', press, '--record', recorded, '--json', report);

const out = (name: string) => join(dir, name);

describe('sim run --record', () => {
  it('keeps every tick of all signals, the run it came from and how it ended', async () => {
    expect(made).toMatchObject({ code: 0, err: expect.not.stringContaining('recording') });
    const source = new FileSource(recorded);
    const recording = await openRecording(source);
    expect(await verify(recording)).toEqual([]);
    source.close();
    expect(recording.rows).toBe(1200);
    const { stateHash, firmware, board } = json(report);
    expect(recording.header).toMatchObject({
      drill: 'bench-18',
      controller: 'builtin:hall-six-step',
      coupling: 'in-process',
      seed: 2,
      board,
      firmware,
      scenario: { file: press, title: 'A short press' },
      versions: { program: expect.stringMatching(/^phantom-spindle /), build: expect.stringMatching(/^[0-9a-f]{16}$/) },
    });
    expect(recording.end).toMatchObject({ verdict: 'passed', stateHash, counters: { ticks: 1200 } });
  });

  it('takes rows at the rate that is asked for, as a recording and as CSV', async () => {
    const [slow, full] = [out('slow.psrec'), out('full.csv')];
    const runs = await Promise.all([
      sim('run', press, '--record', slow, '--record-rate', '1kHz'),
      sim('run', press, '--record', full, '--record-rate', 'full'),
    ]);
    expect(runs.map(({ code }) => code)).toEqual([0, 0]);
    const source = new FileSource(slow);
    expect(await openRecording(source)).toMatchObject({ rows: 60, header: { every: 20 } });
    source.close();
    const rows = readCsv(readFileSync(full, 'utf8'));
    expect(rows).toHaveLength(2 + 1200);
    expect(rows[0]).toEqual(SIGNALS.map(({ id }) => id));
  });

  it.each([
    [['--record', out('x.psrec'), '--record-rate', 'fast'], "allowed is 'full' or rows a second, such as 1kHz"],
    [['--record', out('x.psrec'), '--record-rate', '3kHz'], 'nearest: 3333.33 Hz and 2857.14 Hz'],
    [['--record', out('x.psrec'), '--record-rate', '40 kHz'], 'every n-th tick of 20000 Hz; nearest: 20000 Hz'],
    [['--record-rate', '1kHz'], '--record-rate 1kHz: there is no --record'],
    [['--record', '/no-such-folder/x.psrec'], 'cannot write the recording to /no-such-folder/x.psrec: ENOENT'],
  ])('ends with 2 on %j', async (args, text) => {
    const run = await sim('run', press, ...args);
    expect(run.err).toContain(text);
    expect(run.code).toBe(2);
  });

  it('says when the disk is full, and lets the run go on', async () => {
    const run = await sim('run', press, '--record', '/dev/full');
    expect(run.err).toMatch(/the recording ends at its end: ENOSPC.*; the run went on without it/);
    expect(run.code).toBe(0);
    expect(run.out).toContain('pass  it turns');
  });

  it('has an end that tells of a controller that was lost', async () => {
    const path = out('lost.psrec');
    const run = await sim('run', press, '--record', path, '--controller', wayward('die'));
    expect(run.code).toBe(3);
    const source = new FileSource(path);
    const recording = await openRecording(source);
    source.close();
    // 300 ticks, the lost one, and a coast of 10 ms.
    expect(recording.rows).toBe(501);
    expect(recording.end).toMatchObject({ verdict: 'controller lost', why: expect.stringContaining('code 7') });
  });

  it('keeps all but the chunk it was at when the process is killed', async () => {
    const long = scenarioFile(dir, 'long.yaml', pressText('100 rpm').replace('60 ms', '60 s'));
    const path = out('killed.psrec');
    const args = ['--import', 'tsx', 'src/cli/main.ts', 'run', long, '--record', path];
    const child = spawn(process.execPath, args, { stdio: 'ignore' });
    const gone = new Promise((ended) => child.once('close', ended));
    while (!existsSync(path) || statSync(path).size < 2_000_000) await new Promise((next) => setTimeout(next, 20));
    child.kill('SIGKILL');
    await gone;
    const summary = await sim('export', path);
    expect(summary.code).toBe(1);
    expect(summary.out).toContain('without an end');
    expect(summary.err).toContain(
      'the recording was not ended: the program was stopped or the file was cut; kept is what',
    );
    const source = new FileSource(path);
    const { rows, chunks } = await openRecording(source);
    source.close();
    expect(rows).toBeGreaterThan(6000);
    expect(rows).toBe(1024 * chunks.length);
    expect(chunks.at(-1)?.lastTick).toBe(rows);
  });
});

describe('sim export', () => {
  it('says what is in a recording', async () => {
    const run = await sim('export', recorded);
    expect(run).toMatchObject({ code: 0, err: '' });
    expect(run.out).toContain(`A short press  (${press})`);
    expect(run.out).toContain('55 signals, 1200 rows of every tick of 0.00005 s: 0.00005 s to 0.06 s');
    expect(run.out).toContain(`passed; state hash ${json(report).stateHash}`);
  });

  it('writes CSV, Parquet and MDF at once, with the same numbers in each', async () => {
    const [csv, parquet, mdf] = [out('a.csv'), out('a.parquet'), out('a.mf4')];
    const run = await sim('export', recorded, csv, parquet, mdf, '--signals', 'chuckSpeed, charge', '--from', '20 ms');
    expect(run).toMatchObject({ code: 0, err: '' });
    expect(run.out).toContain(`${csv}: 801 rows, 2 signals`);
    const [names, units, ...lines] = readCsv(readFileSync(csv, 'utf8'));
    expect(names).toEqual(['tick', 'time', 'chuckSpeed', 'charge']);
    expect(units).toEqual(['', 's', 'rad/s', '']);
    const table = lines.map((line) => line.map(Number));
    expect(table[0].slice(0, 2)).toEqual([400, 0.02]);
    const bytes = new Uint8Array(readFileSync(parquet));
    const rows = await parquetReadObjects({ file: bytes.buffer });
    expect(rows.map((row) => names.map((name) => Number(row[name])))).toEqual(table);
    const file = readMdf(new Uint8Array(readFileSync(mdf)));
    const raw = table.map((_, k) => [1, 0, 2, 3].map((channel) => file.raw(channel, k)));
    expect(raw).toEqual(table);
    expect(file.channels[2].unit).toBe('rpm');
  });

  it('writes the units that people read when asked to', async () => {
    const csv = out('shown.csv');
    await sim('export', recorded, csv, '--units', 'shown', '--every', '600');
    const rows = readCsv(readFileSync(csv, 'utf8'));
    expect(rows).toHaveLength(2 + 2);
    expect(rows[1][rows[0].indexOf('windingHeat')]).toBe('°C');
  });

  it('writes what is whole of a cut or damaged recording, and ends with 1', async () => {
    const cut = out('cut.psrec');
    writeFileSync(cut, readFileSync(recorded));
    const at = statSync(cut).size;
    truncateSync(cut, at - 20_000);
    const csv = out('cut.csv');
    const run = await sim('export', cut, csv);
    expect(run.code).toBe(1);
    expect(run.err).toContain('the recording was not ended');
    expect(readCsv(readFileSync(csv, 'utf8'))).toHaveLength(2 + 1024);

    const bent = out('bent.psrec');
    const bytes = new Uint8Array(readFileSync(recorded));
    bytes[100_000] ^= 8;
    writeFileSync(bent, bytes);
    const second = await sim('export', bent, csv);
    expect(second.code).toBe(1);
    expect(second.err).toContain(
      `${bent}: chunk 0 (ticks 1 to 1024, 0.00005 s to 0.0512 s): bit 3 of byte 100000 is flipped`,
    );
    expect(readCsv(readFileSync(csv, 'utf8'))).toHaveLength(2 + 176);
  });

  it('refuses a foreign, a newer and no file with 2', async () => {
    const newer = out('newer.psrec');
    const bytes = new Uint8Array(readFileSync(recorded));
    const view = new DataView(bytes.buffer);
    view.setUint32(8, 9, true);
    view.setUint32(12, crc32(bytes, 0, 12), true);
    writeFileSync(newer, bytes);
    const csv = out('full.csv');
    const foreign = existsSync(csv) ? csv : scenarioFile(dir, 'full.csv', 'time,link\r\ns,V\r\n');
    for (const [path, text] of [
      [newer, `${newer} has version 9 of the format; this program reads 1 to 1: take a newer one`],
      [foreign, `${foreign} is no recording of this bench: it begins as a table as CSV`],
      [press, `${press} is no recording of this bench: it begins as the bytes 23 20 53`],
      [out('none.psrec'), 'cannot be read: ENOENT'],
      [dir, 'cannot be read: is no file'],
    ]) {
      const run = await sim('export', path, out('y.csv'));
      expect(run.err).toContain(text);
      expect(run.code).toBe(2);
    }
    expect(existsSync(out('y.csv'))).toBe(false);
  });

  it.each([
    [['x.xlsx'], 'allowed endings are .csv, .parquet, .mf4'],
    [['x.csv', '--signals', 'torque'], "signal 'torque' is not in the recording; there are packOcv,"],
    [['x.csv', '--from', '3'], '--from: '],
    [['x.csv', '--from', '3 s', '--to', '1 s'], '--to 1 s: allowed is --from, 3 s, or later'],
    [['x.csv', '--every', '0'], '--every 0: allowed is a whole number'],
    [['x.csv', '--units', 'imperial'], '--units imperial: allowed are si, shown'],
    [['/no-such-folder/x.parquet'], 'cannot write /no-such-folder/x.parquet: ENOENT'],
    [['/dev/full/x.csv'], 'cannot write /dev/full/x.csv'],
  ])('ends with 2 on %j', async (args, text) => {
    const run = await sim('export', recorded, ...args);
    expect(run.err).toContain(text);
    expect(run.code).toBe(2);
  });
});
