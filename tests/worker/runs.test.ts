/**
 * Files that the page plays: the same results as on the command line, the same bits on the bench on show, and refusals with
 * their line.
 *
 * Held against  the command line, which plays the same files in processes of its own, with the scenario reader, the pool and the
 *               result file of Node.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { beforeAll, describe, expect, it } from 'vitest';
import { buildHash } from '../../src/cli/node-build.ts';
import { loadScenario } from '../../src/scenario/load.ts';
import type { Scenario } from '../../src/scenario/scenario.ts';
import { cellsOf } from '../../worker/campaign-cells.ts';
import { CampaignDesk } from '../../worker/campaign-desk.ts';
import { LIBRARY, libraryRows } from '../../worker/library.ts';
import { playFile } from '../../worker/play-file.ts';
import { playPoint } from '../../worker/play-point.ts';
import { readFile } from '../../worker/read-file.ts';
import type { Plan, RunStands } from '../../worker/runs-api.ts';
import { DrillService } from '../../worker/service.ts';
import { campaignFolder } from '../cli/campaign-rig.ts';
import { json, sim } from '../cli/sim.ts';

const FOUR = `title: Four presses
scenario: press.yaml
draw: grid
vary:
  - { place: chuck.gear, values: [1, 2] }
  - { place: faults.1.size, values: [0 %, 20 %] }
`;

function scenarioOf(place: string): Scenario {
  const read = readFile({ name: place, text: LIBRARY.get(place) ?? '' });
  if (!read.ok || read.kind !== 'scenario') throw new Error(`${place} is no scenario`);
  return read.scenario;
}

describe('the library', () => {
  it('has every scenario and campaign of the folder, and reads them all', () => {
    const rows = libraryRows();
    expect(rows.length).toBeGreaterThan(100);
    expect(rows.filter(({ kind }) => kind === 'campaign').length).toBeGreaterThan(10);
    for (const { place, kind, title, shows } of rows) {
      expect(title, place).not.toBe('');
      expect(shows, place).toMatch(/^Shows /);
      if (kind === 'scenario')
        expect(readFile({ name: place, text: LIBRARY.get(place) ?? '' }), place).toMatchObject({ ok: true, kind });
    }
  });

  it('finds the scenario of a campaign in another folder', () => {
    const place = 'campaigns/break-shunt-gain.yaml';
    expect(readFile({ name: place, text: LIBRARY.get(place) ?? '' })).toMatchObject({ ok: true, kind: 'campaign' });
  });
});

describe('a file from disk', () => {
  const including =
    'title: With a part\ninclude: [part.yaml]\ndrill: bench-18\nduration: 10 ms\ntimeline: [{ at: 0 s, trigger: 0 % }]\n';

  it('includes what was opened with it', () => {
    const part = { name: 'part.yaml', text: 'chuck: { gear: 2 }\n' };
    expect(readFile({ name: 'own.yaml', text: including }, [part])).toMatchObject({
      ok: true,
      scenario: { chuck: { gear: 2 } },
    });
  });

  it('says which file is missing, and in which line it is named', () => {
    const read = readFile({ name: 'own.yaml', text: including });
    if (read.ok) throw new Error('it was read');
    expect(read.problems[0]).toMatchObject({ file: 'own.yaml', line: 2 });
    expect(read.problems[0].text).toMatch(/'part.yaml'.*open both files together/);
  });

  it('is refused with line, key and what is allowed', () => {
    const read = readFile({
      name: 'bad.yaml',
      text: 'title: x\ndrill: bench-18\nduration: 0.5 s\nchuck: { gear: 3 }\ntimeline: [{ at: 0 s, trigger: 0 % }]\n',
    });
    if (read.ok) throw new Error('it was read');
    expect(read.problems).toEqual([
      expect.objectContaining({ line: 4, text: expect.stringMatching(/gear: 3 .* 0, 1, 2/) }),
    ]);
  });
});

describe('a run', () => {
  const place = 'bridge/high-switch-opens.yaml';
  const stands: RunStands[] = [];
  let kept: Awaited<ReturnType<typeof playFile>>;
  beforeAll(async () => {
    kept = await playFile(scenarioOf(place), place, {}, (each) => stands.push(each));
  });

  it('ends as on the command line: verdict, state, every number of every check', async () => {
    const dir = campaignFolder();
    await sim('run', `scenarios/${place}`, '--no-twin', '--json', dir.at('run.json'));
    const told = json(dir.at('run.json'));
    expect(kept.ended).toMatchObject({ verdict: told.verdict, stateHash: told.stateHash, lostTime_s: told.lostTime_s });
    expect(JSON.parse(JSON.stringify(kept.ended.checks))).toEqual(told.checks);
  });

  it('has a plot of every signal that a check looks at, within its limits of time', () => {
    const { plots } = kept.ended;
    for (const { signal } of kept.scenario.checks) expect(plots.map(({ id }) => id)).toContain(signal);
    for (const { columns } of plots) {
      expect(columns.length % 4).toBe(0);
      expect(columns.length).toBeGreaterThan(400);
    }
  });

  it('is put on the bench on show with the same bits, and can be gone back in', async () => {
    const { scenario, ended } = kept;
    const service = new DrillService();
    const api = service.facade();
    api.load('bench-18', 'hall-six-step', 1);
    const bench = () =>
      (service as unknown as { made: { bench: { plant: { hash(): string; tick: number } } } }).made.bench;
    const info = await api.openScene(scenario, {}, 0.2);
    expect(info.controller).toBe('sensorless');
    expect(bench().plant.tick).toBe(4000);
    const there = bench().plant.hash();
    api.step(Math.round(scenario.duration_s / 50e-6) - 4000);
    expect(bench().plant.hash()).toBe(ended.stateHash);
    expect(api.rewindTo(0.2)).toMatchObject({ ok: true });
    expect(bench().plant.hash()).toBe(there);
    api.step(Math.round(scenario.duration_s / 50e-6) - 4000);
    expect(bench().plant.hash()).toBe(ended.stateHash);
    expect(await api.ghostOf({})).toEqual({
      ok: false,
      why: expect.stringMatching(/comes from a file.*Runs plays that file twice/),
    });
    await expect(api.openScene(scenario, {}, 9)).rejects.toThrow(/upTo_s is 9.*0 to 0.5/s);
  });

  it('is another one with another controller or number, and refuses what no drill has', async () => {
    const short = { ...scenarioOf('grip-low-gear.yaml'), duration_s: 0.15 };
    const quiet = () => {};
    const own = await playFile(short, 'x', {}, quiet);
    const other = await playFile(short, 'x', { changes: [{ key: 'winding.r_ohm', value: 0.02 }] }, quiet);
    expect(other.ended.stateHash).not.toBe(own.ended.stateHash);
    await expect(playFile(short, 'x', { changes: [{ key: 'winding.none', value: 1 }] }, quiet)).rejects.toThrow(
      /'winding.none' is no number of a drill/,
    );
    await expect(playFile(short, 'x', { controller: 'none' }, quiet)).rejects.toThrow(/known are hall-six-step/);
  });
});

describe('a campaign', () => {
  const dir = campaignFolder(FOUR);
  const text = (path: string) => readFileSync(path, 'utf8');
  const whole = sim('campaign', dir.campaign, '--out', dir.at('whole.jsonl'));

  function planned(): Plan {
    const beside = [{ name: 'press.yaml', text: text(dir.at('press.yaml')) }];
    const read = readFile({ name: 'forty.yaml', text: text(dir.campaign) }, beside);
    if (!read.ok || read.kind !== 'campaign') throw new Error('it is no campaign');
    return read.plan;
  }

  it('leaves the same lines as sim campaign, cancelled after the first run and gone on with', async () => {
    const desk = new CampaignDesk(planned());
    const lanes = { count: 1, play: playPoint };
    const finished = await desk.run(lanes, () => desk.stop());
    expect(finished).toBe(false);
    expect(desk.stands).toMatchObject({ points: 4, done: 1, runs: 1 });
    let further = 0;
    expect(await desk.run(lanes, () => further++)).toBe(true);
    expect(desk.stands).toMatchObject({ done: 4, runs: 4 });
    await whole;
    expect(await desk.file(buildHash())).toBe(text(dir.at('whole.jsonl')));
    const { rows, columns, cells } = cellsOf(desk.ordered, 'chuck.gear', 'faults.1.size');
    expect([rows, columns]).toEqual([
      ['1', '2'],
      ['0 %', '20 %'],
    ]);
    for (const { runs, letter } of cells)
      expect([runs.length, letter]).toEqual([1, runs[0].verdict === 'passed' ? 'P' : 'F']);
    expect(cellsOf(desk.ordered)).toMatchObject({ row: 'fault', column: 'situation', rows: ['magnet-weak'] });
  });

  it('runs a part that merge puts together with one of the command line, to the bytes of one go', async () => {
    const desk = new CampaignDesk(planned(), { index: 2, count: 2 });
    await desk.run({ count: 1, play: playPoint }, () => {});
    expect(desk.stands).toMatchObject({ points: 2, done: 2 });
    writeFileSync(dir.at('second.jsonl'), await desk.file(buildHash()));
    await sim('campaign', dir.campaign, '--shard', '1/2', '--out', dir.at('first.jsonl'));
    const parts = [dir.at('second.jsonl'), dir.at('first.jsonl')];
    const merged = await sim('merge', ...parts, '--campaign', dir.campaign, '--out', dir.at('merged.jsonl'));
    expect(merged.err).toBe('');
    await whole;
    expect(text(dir.at('merged.jsonl'))).toBe(text(dir.at('whole.jsonl')));
  });

  it('leaves an unfinished file that the command line goes on with', async () => {
    const desk = new CampaignDesk(planned());
    await desk.run({ count: 1, play: playPoint }, () => desk.stop());
    writeFileSync(dir.at('begun.jsonl'), await desk.file(buildHash()));
    const gone = await sim('campaign', dir.campaign, '--out', dir.at('begun.jsonl'));
    expect(gone.err).toMatch(/goes on: 1 runs are on file/);
    await whole;
    expect(text(dir.at('begun.jsonl'))).toBe(text(dir.at('whole.jsonl')));
  });

  it('keeps a run that its scenario refuses as a set-up error', async () => {
    const { played } = await playPoint('{"title":"x"}', 'x');
    expect(played).toMatchObject({ verdict: 'set-up error', stateHash: '' });
    expect(loadScenario('{"title":"x"}', 'x').ok).toBe(false);
  });
});
