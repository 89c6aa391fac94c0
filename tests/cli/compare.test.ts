/** `sim compare` as a user meets it, and the table against numbers that decide by hand. */
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { compare, plotName } from '../../src/cli/compare.ts';
import { type Compared, type Row, sectionsOf, tableLines, tripsText } from '../../src/cli/compare-rows.ts';
import { controllerChoice } from '../../src/cli/controller-choice.ts';
import type { Figure } from '../../src/runner/figures/figure.ts';
import type { Outcome } from '../../src/runner/play.ts';
import { folder, json, pressText, scenarioFile, sim, wayward } from './sim.ts';

const OWN = 'builtin:hall-six-step';
const WEAK = `exec:${process.execPath} --import tsx tests/cli/weak-controller.ts`;

const dir = folder();
const press = scenarioFile(dir, 'press.yaml', pressText('100 rpm'));
const failing = scenarioFile(dir, 'failing.yaml', pressText('9000 rpm'));
const broken = scenarioFile(dir, 'broken.yaml', pressText('100 mm'));

/** Columns of a printed row: A, B and the rest. */
function printed(out: string, what: string): string[] {
  const row = out.split('\n').find((line) => line.startsWith(`  ${what} `));
  expect(row, what).toBeDefined();
  return (row ?? '')
    .slice(what.length + 2)
    .trim()
    .split(/\s{2,}/);
}

describe('sim compare', () => {
  it('finds no difference between a controller and itself in another process', async () => {
    const out = join(dir, 'same.json');
    const [run, alone] = await Promise.all([
      sim('compare', OWN, wayward('behave', 1e9), press, '--json', out),
      sim('run', press, '--json', join(dir, 'alone.json')),
    ]);
    expect(run.code).toBe(0);
    expect(alone.code).toBe(0);
    expect(run.err).toContain('A, builtin:hall-six-step: 100 %');
    expect(run.out).toContain('drill bench-18, seed 2, 0.06 s of virtual time');
    expect(printed(run.out, 'coupling')).toEqual(['in-process', 'lock-step']);
    expect(printed(run.out, 'lost time')).toEqual(['0', '0', 's']);
    expect(printed(run.out, 'state hash')[2]).toBe('same');
    expect(run.out).toContain('Signal level:');
    const report = json(out);
    expect(report.rows.filter((row: Row) => row.better === 'A' || row.better === 'B')).toEqual([]);
    expect(report.a.figures).toEqual(report.b.figures);
    // Looking at a run does not change it.
    expect(report.a.stateHash).toBe(json(join(dir, 'alone.json')).stateHash);
    expect(report.a).toMatchObject({
      verdict: 'passed',
      coupling: 'in-process',
      starts: [{ turning: false }],
      trips: [],
    });
    expect(readdirSync('.').filter((name) => name.endsWith('.svg'))).toEqual([]);
  });

  it('names the better one, gives a reason for what is missing, writes the plot; a failed check is no error', async () => {
    const [out, svg] = [join(dir, 'weak.json'), join(dir, 'weak.svg')];
    const run = await sim('compare', OWN, WEAK, failing, '--json', out, '--plot', svg);
    expect(run.code).toBe(0);
    expect(printed(run.out, 'verdict')).toEqual(['failed', 'failed']);
    expect(printed(run.out, 'checks failed')).toEqual(['1', '1', 'same']);
    expect(printed(run.out, 'it turns (A and B FAIL)').at(-1)).toBe('A');
    expect(printed(run.out, 'phase current, rms of the three').at(-1)).toBe('B');
    expect(printed(run.out, 'state hash')[2]).toBe('differ');
    expect(printed(run.out, 'angle error, worst')[1]).toBe('-');
    expect(run.out).toMatch(
      /- B: 'angle' has the unit 'turn'; allowed are rad, deg, deg el \(.*angle error, rms; angle/,
    );
    const report = json(out);
    const speed = (side: { checks: { value: number }[] }) => side.checks[0].value;
    expect(speed(report.a)).toBeGreaterThan(speed(report.b));
    const peak = report.rows.find((row: Row) => row.id === 'phaseCurrentPeak');
    expect(peak).toMatchObject({ unit: 'A', better: 'B' });
    expect(peak.a).toBe(report.a.figures.find((figure: Figure) => figure.id === 'phaseCurrentPeak').value);
    expect(readFileSync(svg, 'utf8')).toMatch(/^<\?xml[\s\S]*<title>A short press<\/title>[\s\S]*<\/svg>\n$/);
  });

  it('draws to a name of its own in the current folder when asked without one', () => {
    const args = ['--import', import.meta.resolve('tsx'), resolve('src/cli/main.ts')];
    const here = folder();
    const done = spawnSync(process.execPath, [...args, 'compare', OWN, OWN, press, '--plot'], { cwd: here });
    expect(done.status).toBe(0);
    expect(readdirSync(here)).toEqual(['compare-hall-six-step-hall-six-step.svg']);
  });

  it('keeps what ran and ends with 3 when a controller is lost on the way', async () => {
    const [out, svg] = [join(dir, 'lost.json'), join(dir, 'lost.svg')];
    const run = await sim('compare', OWN, wayward('die'), press, '--json', out, '--plot', svg);
    expect(run.code).toBe(3);
    expect(run.out).toMatch(/B controller lost: .*ended with code 7/);
    expect(printed(run.out, 'verdict')).toEqual(['passed', 'controller lost']);
    expect(printed(run.out, 'it turns')[1]).toBe('-');
    expect(run.out).toContain('- B: controller lost (it turns)');
    // 300 ticks of 50 us, the lost one, and a coast of 10 ms.
    expect(printed(run.out, 'virtual time').slice(0, 2)).toEqual(['0.06', '0.02505']);
    expect(json(out).b).toMatchObject({ verdict: 'controller lost', lostTime_s: 0 });
    expect(readFileSync(svg, 'utf8')).toContain('controller lost after 0.02505 s');
  });

  it('ends with 3 when a side never introduces itself, and keeps the other one', async () => {
    const out = join(dir, 'mute.json');
    const run = await sim('compare', OWN, 'exec:true', press, '--json', out);
    expect(run.code).toBe(3);
    expect(run.err).toMatch(/press\.yaml: B: controller lost: .*before its Hello/);
    expect(run.err).toContain('nothing was compared');
    expect(json(out)).toMatchObject({ a: { verdict: 'passed' }, b: { verdict: 'controller lost' }, rows: [] });
  });

  it.each([
    [[OWN, 'usb:3', press], 'controller B: usb:3: allowed are builtin:NAME, exec:CMD, tcp:HOST:PORT'],
    [[OWN, 'tcp:127.0.0.1:9', press], 'B: tcp:127.0.0.1:9: cannot connect'],
    [['exec:./no-such-starter', OWN, press], 'command not found'],
    [[wayward('misfit'), OWN, press], 'PWM frequency: the controller says 16000 Hz, the board has 20000 Hz'],
    [[OWN, OWN, broken], "check 1, at least: '100 mm' has the unit mm"],
    [[OWN, OWN, press, '--plot', '/no-such-folder/a.svg'], 'cannot write the plot to /no-such-folder/a.svg'],
    [[OWN, OWN, join(dir, 'none.yaml')], 'none.yaml:1: cannot be read: ENOENT'],
    [[OWN, press], "missing required argument 'file'"],
  ])('ends with 2 on %j and says what is wrong', async (args, text) => {
    const run = await sim('compare', ...args);
    expect(run.err).toContain(text);
    expect(run.code).toBe(2);
  });

  it.each([
    ['builtin:hall-six-stp', OWN, press, "controller A: builtin:hall-six-stp: 'hall-six-stp' is not built in; nearest"],
    [OWN, 'tcp:5301', press, 'controller B: tcp:5301: allowed is HOST:PORT'],
  ])('refuses %s, %s and %s before anything runs', async (a, b, file, why) => {
    await expect(compare(a, b, file, {})).rejects.toThrow(why);
  });

  it('reports a set-up error as JSON', async () => {
    const out = join(dir, 'broken.json');
    expect((await sim('compare', OWN, OWN, broken, '--json', out)).code).toBe(2);
    expect(json(out)).toMatchObject({ verdict: 'set-up error', scenario: broken });
  });
});

describe('the table', () => {
  const figure = (id: string, better: Figure['better'], value: number | null, why = ''): Figure => {
    return { id, what: id, unit: 's', show: 'ms', better, value, why };
  };
  const outcome = {
    verdict: 'passed',
    checks: [],
    coupling: 'in-process',
    virtual_s: 3,
    lostTime_s: 0,
    energyResidual: 1e-8,
    stateHash: 'f00d',
  } as unknown as Outcome;
  const side = (figures: Figure[], wall_s = 2): Compared => ({ outcome, wall_s, figures });
  const rowsOf = (a: Figure[], b: Figure[]) => sectionsOf(side(a), side(b), 0).flatMap(({ rows }) => rows);

  it('decides by the digits that it prints, in the direction of each figure, in display units', () => {
    const a = [0.02, 0.02, 0.0200001, 0.02].map((v, k) =>
      figure(`f${k}`, (['lower', 'higher', 'lower', null] as const)[k], v),
    );
    const b = [0.03, 0.03, 0.0200002, 0.03].map((v, k) =>
      figure(`f${k}`, (['lower', 'higher', 'lower', null] as const)[k], v),
    );
    const rows = rowsOf(a, b);
    expect(rows.slice(0, 4).map(({ better }) => better)).toEqual(['A', 'B', 'same', '']);
    expect(rows[0]).toMatchObject({ unit: 'ms', a: 20, b: 30 });
    expect(rows.find(({ id }) => id === 'virtualToWall')).toMatchObject({ a: 1.5, b: 1.5, better: '' });
  });

  it('decides nothing where a value is missing, and gathers the reasons', () => {
    const lines = tableLines(
      sectionsOf(
        side([
          figure('one', 'lower', null, 'no press'),
          figure('two', 'lower', null, 'no press'),
          figure('three', 'lower', 1),
        ]),
        side([
          figure('one', 'lower', null, 'no press'),
          figure('two', 'lower', 1),
          figure('three', 'lower', null, 'odd'),
        ]),
        0,
      ),
    );
    expect(lines.find((line) => line.startsWith('two'))).toMatch(/^two +- +1000 {2}ms$/);
    expect(lines.slice(-3)).toEqual(['- A and B: no press (one)', '- A: no press (two)', '- B: odd (three)']);
  });

  it('tells trips in the words of the protocol', () => {
    const trips = [
      { at_s: 0.5, reason: 3 },
      { at_s: 0.75, reason: 3 },
      { at_s: 1, reason: 200 },
    ];
    expect(tripsText(trips)).toBe('link voltage below its limit, 2 times, first at 0.5 s; own code 200, once at 1 s');
    expect(tripsText([])).toBe('');
  });

  it.each([
    [[OWN, 'tcp:localhost:5301'], 'compare-hall-six-step-localhost-5301.svg'],
    [['exec:src/board/build/starter --fast', 'exec:"my own/thing"'], 'compare-starter-my.svg'],
  ])('names the plot of %j', (names, file) => {
    expect(plotName(names.map(controllerChoice))).toBe(file);
    expect(existsSync(file)).toBe(false);
  });
});
