/**
 * Rate-split as a user runs it: in wall time, against a board in a process of its own.
 *
 * How many frames are late hangs on what else the machine does, so nothing here demands that none is. What must hold on any
 * machine is that every beat is accounted for: virtual time and lost time make up the wall time, and every Scene has its fate.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { couplingChoice } from '../../src/cli/coupling-choice.ts';
import { NODE_CLOCK } from '../../src/cli/node-clock.ts';
import { openTcpWire } from '../../src/links/node-tcp.ts';
import { openRateSplit } from '../../src/links/rate-split.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { RateSplitBench } from '../../src/runner/rate-split.ts';
import { CATCH_UP_S } from '../../src/runner/rate-split-pace.ts';
import { expectNear } from '../support/near.ts';
import { folder, json, scenarioFile, sim } from './sim.ts';

const BOARD = ['--import', 'tsx', 'tests/links/paced-board.ts'];
const board = (...args: string[]): string => `exec:${process.execPath} ${[...BOARD, ...args].join(' ')}`;

const dir = folder();
const scenario = scenarioFile(
  dir,
  'paced.yaml',
  `title: A press in wall time
drill: bench-18
seed: 3
duration: 1 s
timeline:
  - { at: 0.1 s, trigger: 40 %, over: 0.1 s }
checks:
  - { name: it turns, signal: chuckSpeed, take: largest, at least: 100 rpm }
  - { name: the current stays small, signal: currentQ, take: peak, at most: 500 A }
`,
);

let child: ChildProcess | undefined;
afterEach(() => {
  child?.kill();
  child = undefined;
});

/** Starts a board on a TCP port; its HOST:PORT. */
function listening(): Promise<string> {
  child = spawn(process.execPath, [...BOARD, 'tcp'], { stdio: ['ignore', 'pipe', 'inherit'] });
  return new Promise((resolve, reject) => {
    child!.once('exit', () => reject(new Error('the board ended before it listened')));
    child!.stdout!.once('data', (chunk: Buffer) => resolve(/listening on (\S+)/.exec(chunk.toString())![1]));
  });
}

describe('1000 beats a second over a TCP socket', () => {
  it('keeps wall time for two seconds, and accounts for every beat and every Scene', async () => {
    const rate_Hz = 1000;
    const beats = 2 * rate_Hz;
    const link = await openRateSplit(await openTcpWire(await listening()));
    const bench = new RateSplitBench({ drill: BENCH_18, seed: 1, rate_Hz, link, clock: NODE_CLOCK });
    bench.plant.hands.set('trigger', 0.5);
    const began_s = NODE_CLOCK.now_s();
    for (let k = 0; k < beats; k++) await bench.tickOnce();
    const wall_s = NODE_CLOCK.now_s() - began_s;
    const { lost: lostBeats } = bench.counters;
    const { sent, answered, late, lost, heldBack, repeated, absurd } = link.counters;
    const ratio = bench.plant.time_s / wall_s;
    console.log(
      `rate-split at ${rate_Hz} Hz: ratio ${ratio.toFixed(4)}, lost beats ${lostBeats}, late ${late}, lost ${lost}, ` +
        `held back ${heldBack}, answered ${answered} of ${sent}`,
    );
    expect(bench.controllerLost).toBe('');
    // Nobody can say how busy the machine is; whatever it kept from us is told as lost time.
    const told = (bench.plant.time_s + lostBeats / rate_Hz) / wall_s;
    const because = '1 %; and what may be made good at the end was not yet';
    expectNear(told, 1, { abs: 0.01 + CATCH_UP_S / wall_s, because });
    expect(told).toBeLessThanOrEqual(1 + 1e-9); // never ahead of wall time
    if (lostBeats === 0 && heldBack === 0 && late === 0)
      expectNear(ratio, 1, { abs: 0.01, because: 'nothing held us up' });
    expect(sent + heldBack).toBe(beats);
    expect(answered + lost).toBeLessThanOrEqual(sent);
    expect(answered + lost).toBeGreaterThanOrEqual(sent - link.credits());
    expect([repeated, absurd, link.counters.drops.badCrc]).toEqual([0, 0, 0]);
    expect(bench.plant.read('chuckSpeed')).toBeGreaterThan(20);
    await link.close();
  });
});

describe('sim run --coupling rate-split', () => {
  it('plays in wall time, says coupling, rate, ratio and counts, and passes only when nothing was late or lost', async () => {
    const out = join(dir, 'paced.json');
    const run = await sim(
      'run',
      scenario,
      '--controller',
      board(),
      '--coupling',
      'rate-split',
      '--rate',
      '200',
      '--json',
      out,
    );
    expect(run.out).toMatch(
      /rate-split at 200 Hz: 1 s virtual in [\d.]+ s wall, virtual\/wall [\d.]+; lost time [\d.]+ s, late frames \d+, lost frames 0, held back \d+, repeated 0; \d+ of \d+ Scenes answered/,
    );
    expect(run.out).toContain('the current stays small  no value, at most 500 A (bridge and winding are on the board)');
    expect(run.out).toMatch(/energy balances +no value.*\(the motor is outside the drill\)/);
    expect(run.out).toMatch(/no balance over the motor; pack at its terminals [\d.]+ J, shaft of the motor [\d.]+ J/);
    expect(run.out).toContain('caution the motor is that of the board');
    const report = json(out);
    expect(report).toMatchObject({ coupling: 'rate-split', rate_Hz: 200, energyResidual: null });
    expect(report.link.sent + report.link.heldBack).toBe(200);
    expect(report.checks[0]).toMatchObject({ name: 'it turns', verdict: 'pass' });
    expect(report.checks[1]).toMatchObject({ verdict: 'not evaluated', value: null });
    // A check without a reading is never passed; late and held-back frames and lost time make the run invalid.
    const spoiled = report.counters.late + report.link.heldBack + report.link.lost + report.lostTime_s > 0;
    expect(report.verdict).toBe(spoiled ? 'invalid' : 'failed');
    expect(run.code).toBe(1);
    const account = report.virtual_s + report.lostTime_s;
    expect(report.wall_s).toBeGreaterThan(account - 0.01);
    expectNear(report.virtualToWall, report.virtual_s / report.wall_s, { abs: 1e-12, because: 'one division' });
  });

  it.each([
    ['sleeps', /no Report for 0\.6 s; \d+ of \d+ Scenes were answered, the last one was number \d+/],
    ['stamps', /a Report is for Scene 999; the last one sent is \d+/],
  ])('ends with 3 and words when the board %s', async (oddity, words) => {
    const out = join(dir, `${oddity}.json`);
    const args = ['--coupling', 'rate-split', '--rate', '100', '--json', out];
    const run = await sim('run', scenario, '--controller', board(oddity, '20'), ...args);
    expect(run.code).toBe(3);
    expect(run.out).toMatch(words);
    const report = json(out);
    expect(report).toMatchObject({ verdict: 'controller lost', coupling: 'rate-split' });
    expect(report.checks[0]).toMatchObject({ verdict: 'not evaluated', why: 'controller lost' });
    expect(report.link.answered).toBe(20);
  });

  it('counts what the board leaves out, and does not pass', async () => {
    const out = join(dir, 'forgets.json');
    const args = ['--coupling', 'rate-split', '--rate', '100', '--json', out];
    const run = await sim('run', scenario, '--controller', board('forgets', '0'), ...args);
    expect(run.code).toBe(1);
    const report = json(out);
    expect(report.verdict).toBe('invalid');
    expect(report.why).toContain('no frame is lost');
    // Every fourth Report is left out; the last ones may still be open.
    expectNear(report.link.lost, report.link.sent / 4, {
      abs: 2,
      because: 'whole Reports, and two credits at the end',
    });
  });

  it('refuses a board that does not offer it', async () => {
    const other = `exec:${process.execPath} --import tsx tests/links/odd-board.ts none`;
    const run = await sim('run', scenario, '--controller', other, '--coupling', 'rate-split');
    expect(run.code).toBe(2);
    expect(run.err).toContain(
      'the board does not offer it (Hello.rateSplit is not true); allowed is --coupling lock-step',
    );
  });

  it('refuses a built-in controller before anything runs', async () => {
    const run = await sim('run', scenario, '--coupling', 'rate-split');
    expect(run.code).toBe(2);
    expect(run.out).toBe('');
    expect(run.err).toContain(
      '--coupling rate-split: built-in controllers run in process; allowed is in-process; ' +
        'a board behind a link may have lock-step or rate-split',
    );
  });
});

describe('--coupling and --rate', () => {
  const tcp = { kind: 'tcp', what: 'localhost:5301' };
  const inside = { kind: 'builtin', what: 'sensorless' };

  it('take what the kind of controller always has when nothing is said', () => {
    expect(couplingChoice(undefined, undefined, inside)).toEqual({ coupling: 'in-process' });
    expect(couplingChoice(undefined, undefined, tcp)).toEqual({ coupling: 'lock-step' });
    expect(couplingChoice('rate-split', undefined, tcp)).toEqual({ coupling: 'rate-split', rate_Hz: 500 });
    expect(couplingChoice('rate-split', '1e3', tcp)).toEqual({ coupling: 'rate-split', rate_Hz: 1000 });
  });

  it.each(['99', '1001', '-500', 'fast', '', 'NaN', '500 Hz'])('refuse the rate "%s"', (rate) => {
    expect(() => couplingChoice('rate-split', rate, tcp)).toThrow(
      `--rate ${rate}: allowed is a number from 100 to 1000 (Scenes a second)`,
    );
  });

  it('refuse a rate where none is set, and a coupling that is none', () => {
    expect(() => couplingChoice('lock-step', '500', tcp)).toThrow('a rate goes with --coupling rate-split alone');
    expect(() => couplingChoice(undefined, '500', tcp)).toThrow('a rate goes with --coupling rate-split alone');
    expect(() => couplingChoice('loose', undefined, tcp)).toThrow('allowed is lock-step or rate-split');
    expect(() => couplingChoice('in-process', undefined, tcp)).toThrow('allowed is lock-step or rate-split');
    expect(() => couplingChoice('lock-step', undefined, inside)).toThrow('allowed is in-process');
  });
});
