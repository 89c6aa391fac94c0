/** Files that run, campaign and report leave, as a build server and a reader find them; the exit code stands without them. */
import { chmodSync, existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parquetReadObjects } from 'hyparquet';
import { describe, expect, it } from 'vitest';
import { shellWord } from '../../src/cli/report-files.ts';
import { readByNpm } from '../report/xml-readers.ts';
import { folder, json, pressText, scenarioFile, sim, wayward } from './sim.ts';

const text = (path: string) => readFileSync(path, 'utf8');
const redOf = (path: string) => readByNpm(text(path)).suites.map(({ cases }) => cases.filter(({ red }) => red).length);
/** A control character where a person reads a name: a terminal escape, a form feed, a bell. */
const EVIL = (atLeast: string) =>
  pressText(atLeast)
    .replace('name: it turns', 'name: "it \\x1b[32mturns\\f\\a"')
    .replace('A short press', '"A \\x08short <press>"');

describe('run with files', () => {
  it('leaves one suite a file, one report, one table; a control character in a name does not turn red into green', async () => {
    const into = folder();
    const good = scenarioFile(into, 'good.yaml', EVIL('1 rpm'));
    const bad = scenarioFile(into, 'bad.yaml', EVIL('9000 rpm'));
    const [xml, html, parquet] = ['o.xml', 'o.html', 'o.parquet'].map((name) => join(into, name));
    const { code, err } = await sim('run', good, bad, '--junit', xml, '--html', html, '--parquet', parquet);
    expect(err).not.toContain('exit code stands');
    expect(code).toBe(1);
    expect(redOf(xml)).toEqual([0, 1]);
    const [suite] = readByNpm(text(xml)).suites;
    expect(suite.properties).toMatchObject({ coupling: 'in-process', seed: '2', verdict: 'passed', drill: 'bench-18' });
    expect(suite.properties['scenario sha256']).toMatch(/^[0-9a-f]{64}$/);
    expect(suite.properties['state hash']).toMatch(/^[0-9a-f]{16}$/);
    expect(text(xml)).toContain(`again: npm run -s sim -- run ${bad}`);
    const page = text(html);
    expect(page).toContain('>Failed</p>');
    expect(page).toContain('<svg class="plot"');
    expect(page).toContain('chuck turn');
    const rows = await parquetReadObjects({ file: new Uint8Array(readFileSync(parquet)).buffer });
    expect(rows.filter(({ verdict }) => verdict === 'fail')).toHaveLength(1);
  });

  it('is red for a controller that is lost and for a file that is refused, with the exit codes of both', async () => {
    const into = folder();
    const file = scenarioFile(into, 'a.yaml', pressText('1 rpm'));
    const xml = join(into, 'o.xml');
    const lost = await sim('run', file, '--controller', wayward('die'), '--junit', xml);
    expect(lost.code).toBe(3);
    expect(redOf(xml)[0]).toBeGreaterThan(0);
    expect(text(xml)).toContain('controller lost');
    const refused = await sim('run', scenarioFile(into, 'b.yaml', 'title: x\n'), '--junit', xml);
    expect(refused.code).toBe(2);
    expect(redOf(xml)[0]).toBeGreaterThan(0);
  });

  it('ends with the code of its runs when a file cannot be finished, and says so', async () => {
    const into = folder();
    const place = join(into, 'there');
    mkdirSync(place);
    const file = scenarioFile(into, 'a.yaml', pressText('9000 rpm'));
    const { code, err } = await sim('run', file, '--junit', '/dev/full');
    // Writing the first news fails already: nothing was run, and nothing is judged.
    expect(code).toBe(2);
    expect(err).toContain('--junit /dev/full: cannot be written');
    chmodSync(place, 0o700);
    expect((await sim('run', file, '--html', join(place, 'no', 'o.html'))).code).toBe(2);
  });

  it('leaves red, not the green of an older build, when it does not come to its end', async () => {
    const into = folder();
    const file = scenarioFile(into, 'a.yaml', pressText('1 rpm'));
    const [xml, html, parquet] = ['o.xml', 'o.html', 'o.parquet'].map((name) => join(into, name));
    const files = ['--junit', xml, '--html', html, '--parquet', parquet];
    expect((await sim('run', file, ...files)).code).toBe(0);
    expect(redOf(xml)).toEqual([0]);
    // The second scenario file is refused while options are read: the command ends before its first run.
    await sim('run', file, '--controller', 'tcp:127.0.0.1:1', '--coupling', 'rate-split', '--rate', '1', ...files);
    expect(redOf(xml)).toEqual([1]);
    expect(text(html)).not.toContain('>Passed</p>');
    expect(existsSync(parquet)).toBe(false);
  });

  it('lays the margins of an older build beside its own', async () => {
    const into = folder();
    const file = scenarioFile(into, 'a.yaml', pressText('1 rpm'));
    const [result, html] = ['o.json', 'o.html'].map((name) => join(into, name));
    await sim('run', file, '--json', result);
    expect((await sim('run', file, '--html', html, '--baseline', result)).code).toBe(0);
    expect(text(html)).toContain('as before');
    const before = json(result);
    before.checks[0].margin -= 5;
    before.checks.push({ ...before.checks[0], name: 'one that was taken out' });
    writeFileSync(result, JSON.stringify(before));
    await sim('run', file, '--html', html, '--baseline', result);
    expect(text(html)).toContain('5\u00a0rpm more room');
    expect(text(html)).toContain('one that was taken out');
    writeFileSync(result, '{"runs": 3}');
    const { code, err } = await sim('run', file, '--html', html, '--baseline', result);
    expect(code).toBe(2);
    expect(err).toContain('runs: number does not fit; allowed is a list');
  });
});

describe('campaign and report with files', () => {
  it('leave the same cases, whether at once or from what was stored', async () => {
    const into = folder();
    scenarioFile(into, 'press.yaml', pressText('100 rpm'));
    const spread =
      'title: Presses\nscenario: press.yaml\nvary:\n  - { place: timeline.1.trigger, values: [1 %, 40 %] }\n';
    const file = scenarioFile(into, 'presses.yaml', spread);
    const [xml, later, html, summary, out] = ['o.xml', 'later.xml', 'o.html', 's.json', 'r.jsonl'].map((name) =>
      join(into, name),
    );
    const first = await sim('campaign', file, '--out', out, '--json', summary, '--junit', xml, '--html', html);
    expect(first.code).toBe(1);
    expect(redOf(xml)).toEqual([1, 0]);
    expect(text(html)).toContain('All margins');
    const second = await sim('report', summary, '--junit', later);
    expect(second.code).toBe(1);
    const cases = (path: string) => readByNpm(text(path)).suites.map(({ name, cases: all }) => [name, all]);
    expect(cases(later)).toEqual(cases(xml));
  }, 60_000);

  it('report refuses what is no result, and a wish for nothing', async () => {
    const into = folder();
    const file = scenarioFile(into, 'a.json', '{"verdict": 3}');
    const none = await sim('report', file);
    expect([none.code, none.err]).toEqual([2, expect.stringContaining('allowed are --junit, --html, --parquet')]);
    const bad = await sim('report', file, '--junit', join(into, 'o.xml'));
    expect([bad.code, bad.err]).toEqual([2, expect.stringContaining("key 'verdict' is missing or no text")]);
  });
});

describe('the line that plays a run again', () => {
  it('is quoted where a shell would read it otherwise', () => {
    expect([shellWord('scenarios/a.yaml'), shellWord("it's $HOME"), shellWord('')]).toEqual([
      'scenarios/a.yaml',
      "'it'\\''s $HOME'",
      "''",
    ]);
  });
});
