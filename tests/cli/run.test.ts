import { existsSync, mkdirSync, readFileSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { SIGNALS } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { folder, json, pressText, scenarioFile, sim, wayward } from './sim.ts';

const dir = folder();
const passing = scenarioFile(dir, 'passing.yaml', pressText('100 rpm'));
const failing = scenarioFile(dir, 'failing.yaml', pressText('9000 rpm'));
const broken = scenarioFile(dir, 'broken.yaml', pressText('100 mm').replace('40 %', '140 %'));

describe('sim run', () => {
  it('passes with 0, prints a line per check and writes all that a report needs', async () => {
    const out = join(dir, 'passing.json');
    const csv = join(dir, 'passing.csv');
    const run = await sim('run', passing, '--json', out, '--record', csv);
    expect(run.err).toContain('A short press: 100 %');
    expect(run.code).toBe(0);
    expect(run.out).toMatch(/pass {2}it turns +[\d.]+ rpm, at least 100 rpm, margin [\d.]+ rpm, at 0\.\d+ s/);
    expect(run.out).toMatch(
      /in-process: 0\.06 s virtual in [\d.]+ s wall, virtual\/wall [\d.]+; lost time 0 s, late frames 0/,
    );
    expect(run.out).toMatch(/energy residual -?[\d.e-]+ of [\d.]+ J; state hash [0-9a-f]{16}/);
    expect(run.out).toContain('Signal level:');

    const report = json(out);
    const [check] = report.checks;
    expect(Object.keys(check)).toEqual(
      expect.arrayContaining(['name', 'verdict', 'value', 'limit', 'unit', 'margin', 'at_s']),
    );
    expect(check).toMatchObject({ name: 'it turns', verdict: 'pass', limit: 100, unit: 'rpm' });
    const because = 'margin and value are converted to rpm one by one: a rounding each';
    expectNear(check.margin, check.value - 100, { abs: 1e-9, because });
    expect(report).toMatchObject({
      verdict: 'passed',
      coupling: 'in-process',
      lostTime_s: 0,
      scenario: passing,
      seed: 2,
    });
    expect(report).toMatchObject({ drill: 'bench-18', controller: 'builtin:hall-six-step', counters: { ticks: 1200 } });
    expect(report.stateHash).toMatch(/^[0-9a-f]{16}$/);
    expect(Math.abs(report.energyResidual)).toBeLessThan(1e-6);
    expect(report.virtualToWall).toBe(report.virtual_s / report.wall_s);
    expect(report.cautions.at(-1)).toContain('Signal level');

    const rows = readFileSync(csv, 'utf8').trimEnd().split('\r\n');
    expect(rows[0]).toBe(SIGNALS.map(({ id }) => id).join(','));
    expect(rows[1]).toBe(SIGNALS.map(({ show }) => show).join(','));
    expect(rows).toHaveLength(2 + 60);
    expect(new Set(rows.map((row) => row.split(',').length))).toEqual(new Set([SIGNALS.length]));
  });

  it('fails with 1 when a check fails, and lists several files as runs', async () => {
    const out = join(dir, 'two.json');
    const run = await sim('run', passing, failing, '--json', out);
    expect(run.code).toBe(1);
    expect(run.out).toMatch(/FAIL {2}it turns .*margin -\d+/);
    expect(json(out).runs.map(({ verdict }: { verdict: string }) => verdict)).toEqual(['passed', 'failed']);
  });

  it('ends with 2 and runs nothing when any file has a problem; all problems are listed', async () => {
    const out = join(dir, 'broken.json');
    const run = await sim('run', passing, broken, join(dir, 'none.yaml'), '--json', out);
    expect(run.code).toBe(2);
    expect(run.out).toBe('');
    const [trigger, limit, none, last] = run.err.trimEnd().split('\n');
    expect(trigger).toBe(`${broken}:7: timeline entry 1, trigger: 140 % is out of range; allowed is 0 % to 100 %`);
    expect(limit).toBe(
      `${broken}:9: check 1, at least: '100 mm' has the unit mm; allowed are rpm, rad/s (units of chuckSpeed)`,
    );
    expect(none).toMatch(/none\.yaml:1: cannot be read: ENOENT/);
    expect(last).toBe('nothing was run');
    expect(json(out).runs[0]).toMatchObject({ verdict: 'set-up error', scenario: broken });
  });

  it.each([
    [['--controller', 'usb:3'], '--controller usb:3: allowed are builtin:NAME, exec:CMD, tcp:HOST:PORT'],
    [['--controller', 'exec:./no-such-starter'], 'command not found'],
    [['--controller', 'tcp:127.0.0.1:9'], 'cannot connect'],
    [['--record', '/no-such-folder/out.csv'], 'cannot write the recording to /no-such-folder/out.csv'],
    [['--speed', '2'], "unknown option '--speed'"],
  ])('ends with 2 on %j and says what is allowed', async (args, text) => {
    const run = await sim('run', passing, ...args);
    expect(run.err).toContain(text);
    expect(run.code).toBe(2);
  });

  it('refuses a controller that does not fit the board with 2, naming both values', async () => {
    const run = await sim('run', passing, '--controller', wayward('misfit'));
    expect(run.code).toBe(2);
    expect(run.err).toContain('PWM frequency: the controller says 16000 Hz, the board has 20000 Hz');
  });
});

describe('sim run with a controller in a process of its own', () => {
  it('runs in lock-step and reaches the state of the built-in controller bit by bit', async () => {
    const [own, other] = [join(dir, 'own.json'), join(dir, 'other.json')];
    const runs = await Promise.all([
      sim('run', passing, '--json', own),
      sim('run', passing, '--json', other, '--controller', wayward('behave', 1e9)),
    ]);
    expect(runs.map(({ code }) => code)).toEqual([0, 0]);
    expect(json(other).coupling).toBe('lock-step');
    expect(json(other).stateHash).toBe(json(own).stateHash);
  });

  it.each([
    ['die', /the process ended with code 7 after \d+ answers; its last words: out of larch/],
    ['hang', /no answer to tick 300 \(frame \d+\) within 2 s/],
    ['garbage', /\d+ bytes without a valid frame/],
  ])('keeps what ran and ends with 3 when it does: %s', async (way, why) => {
    const out = join(dir, `${way}.json`);
    const csv = join(dir, `${way}.csv`);
    const run = await sim('run', passing, '--json', out, '--record', csv, '--controller', wayward(way));
    expect(run.out).toMatch(why);
    expect(run.code).toBe(3);
    const report = json(out);
    expect(report.verdict).toBe('controller lost');
    expect(report.why).toMatch(why);
    expect(report.checks[0]).toMatchObject({ verdict: 'not evaluated', margin: null });
    expect(report.checks[0].value).toBeGreaterThan(0);
    const gates = report.lastSamples.signals.indexOf('gates');
    const { rows } = report.lastSamples;
    expect(rows.length).toBeGreaterThan(20);
    expect(rows.some((row: number[]) => row[gates] !== 0)).toBe(true);
    expect(rows.at(-1)[gates]).toBe(0);
    // 300 ticks of 50 us, the lost one, and a coast of 10 ms: 25 whole milliseconds.
    expect(readFileSync(csv, 'utf8').trimEnd().split('\r\n')).toHaveLength(2 + 25);
  });

  it('ends with 3 when nothing introduces itself, and still reports', async () => {
    const out = join(dir, 'mute.json');
    const run = await sim('run', passing, '--json', out, '--controller', 'exec:true');
    expect(run.code).toBe(3);
    expect(run.out).toContain('before its Hello');
    expect(json(out)).toMatchObject({ verdict: 'controller lost', checks: [{ verdict: 'not evaluated' }] });
    expect(existsSync(join(dir, 'mute.csv'))).toBe(false);
  });
});

describe('sim run with faults', () => {
  const faulty = scenarioFile(
    dir,
    'faulty.yaml',
    `format: 2
title: A weak magnet
drill: bench-18
seed: 2
duration: 60 ms
requirements: [SR-1]
set: { winding.r_ohm: 15 mohm }
start: { charge: 80 % }
timeline:
  - { at: 5 ms, trigger: 40 % }
faults:
  - { fault: magnet-weak, size: 20 %, at: 30 ms }
checks:
  - { name: flux, signal: magnetFlux, take: last, against: twin, at most: 0 mWb, requirements: [SR-2] }
`,
  );

  it('accompanies it by its twin, tells both hashes, and names numbers and requirements', async () => {
    const out = join(dir, 'faulty.json');
    const run = await sim('run', faulty, '--json', out);
    expect(run.err).not.toContain('Error');
    expect(run.code).toBe(0);
    const report = json(out);
    expect(report.twin).toMatchObject({ why: '' });
    expect(report.twin.stateHash).toMatch(/^[0-9a-f]{16}$/);
    expect(report.twin.stateHash).not.toBe(report.stateHash);
    expect(report).toMatchObject({
      requirements: ['SR-1'],
      set: { 'winding.r_ohm': '15 mohm' },
      start: { charge: 0.8 },
    });
    expect(report.checks[0]).toMatchObject({ name: 'flux', verdict: 'pass', unit: 'mWb', requirements: ['SR-2'] });
    expect(run.out).toContain(`twin without the faults: state hash ${report.twin.stateHash}`);
    expect(run.out).toContain('with winding.r_ohm 15 mohm, charge 80 %');
  });

  it('leaves the twin out with --no-twin, and judges nothing that needs it', async () => {
    const out = join(dir, 'alone.json');
    const run = await sim('run', faulty, '--no-twin', '--json', out);
    expect(run.code).toBe(1);
    expect(json(out).twin).toBeNull();
    expect(json(out).checks[0]).toMatchObject({ name: 'flux', verdict: 'not evaluated', value: null, margin: null });
    expect(run.out).toContain('it was played without its twin');
  });

  it('plays it over a link only when asked, before the run, with the same outcome', async () => {
    const [own, alone, linked] = ['own', 'alone', 'linked'].map((name) => join(dir, `twin-${name}.json`));
    await sim('run', faulty, '--json', own);
    const plain = await sim('run', faulty, '--json', alone, '--controller', wayward('behave', 1e9));
    const asked = await sim('run', faulty, '--json', linked, '--twin', '--controller', wayward('behave', 1e9));
    expect([plain.code, asked.code]).toEqual([1, 0]);
    expect(json(alone).twin).toBeNull();
    expect(json(linked).twin).toEqual(json(own).twin);
    expect(json(linked).checks[0]).toEqual(json(own).checks[0]);
  });
});

describe('sim run with parts of other files', () => {
  const tree = join(dir, 'scenarios');
  const below = join(tree, 'low');
  mkdirSync(below, { recursive: true });
  scenarioFile(tree, 'hands.yaml', 'timeline:\n  - { at: 5 ms, trigger: 40 % }\n');
  const text = (path: string) => `title: Parts\ndrill: bench-18\nduration: 10 ms\ninclude: [${path}]\n`;

  it('takes them from the folder named scenarios and below it', async () => {
    const run = await sim('run', scenarioFile(below, 'good.yaml', text('../hands.yaml')));
    expect(run.err).not.toContain('include');
    expect(run.code).toBe(0);
  });

  it('does not follow a link that leads out of it, and opens no folder', async () => {
    scenarioFile(dir, 'outside.yaml', 'timeline:\n  - { at: 5 ms, trigger: 40 % }\n');
    symlinkSync(join(dir, 'outside.yaml'), join(tree, 'link.yaml'));
    mkdirSync(join(tree, 'folder.yaml'));
    const cases = { '../link.yaml': 'it lies outside the scenario folder', '../folder.yaml': 'it is no file' };
    for (const [path, why] of Object.entries(cases)) {
      const file = scenarioFile(below, 'bad.yaml', text(path));
      const run = await sim('run', file);
      expect(run.code).toBe(2);
      expect(run.err).toContain(`${file}:4: include entry 1: '${path}' cannot be read: ${why}`);
    }
    const over = scenarioFile(below, 'over.yaml', text('../../outside.yaml'));
    expect((await sim('run', over)).err).toContain(`${over}:4: include entry 1: '../../outside.yaml' is refused`);
  });
});
