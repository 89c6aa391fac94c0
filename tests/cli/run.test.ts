import { existsSync, readFileSync } from 'node:fs';
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
