/** `sim bring-up` as a user meets it: the tables, the tour, and what it refuses. */
import { type AddressInfo, createServer, type Server } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { bringUp } from '../../src/cli/bring-up.ts';
import { readInjection } from '../../src/cli/injection-text.ts';
import { SetUpError } from '../../src/links/errors.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { served, sound } from '../examine/boards.ts';
import { readingBoard } from '../examine/odd-readings.ts';
import { sim } from './sim.ts';

let server: Server | undefined;
afterEach(() => server?.close());

async function listen(controller: Controller): Promise<string> {
  server = createServer((socket) => {
    socket.setNoDelay(true);
    const board = served(controller, (bytes) => socket.write(bytes.slice()));
    socket.on('data', (chunk) => board.take(chunk));
    socket.on('error', () => undefined);
  });
  await new Promise<void>((resolve) => server!.listen(0, '127.0.0.1', resolve));
  return `tcp:127.0.0.1:${(server.address() as AddressInfo).port}`;
}

describe('sim bring-up', { timeout: 60_000 }, () => {
  it('shows counts and SI of what was sent, and what the board makes of it', async () => {
    const run = await sim('bring-up', await listen(readingBoard()), '--only', 'ia=10A', '--for', '50 ms');
    expect(run.code, run.out + run.err).toBe(0);
    expect(run.out).toMatch(/^ {2}Caution\. Take the power stage off motor and pack/m);
    expect(run.out).toMatch(/^ {2}ia = 10 A {2}\(\d+ ticks, [\d.]+ s of the drill\)$/m);
    expect(run.out).toMatch(/^ {4}ia +2172 {2}9\.99 A +<- 2048$/m);
    expect(run.out).toMatch(/^ {4}state +1 STATE_READY: waits for the trigger, gates off$/m);
    expect(run.out).toMatch(/^ {4}trip +0 TRIP_NONE: nothing tripped$/m);
    expect(run.out).toMatch(/^ {4}legs +A open, B open, C open$/m);
    expect(run.out).toMatch(/^ {4}current A \[A\] +0 +9\.99 +9\.99 +\S+ {2}currentA$/m);
    expect(run.out).toMatch(/\n {2}no watch value deviates\n$/);
  });

  it('ends with 1 and a hint when the board reads its phases in another order', async () => {
    const swapped = readingBoard(({ currents_A }) => {
      [currents_A[1], currents_A[2]] = [currents_A[2], currents_A[1]];
    });
    const run = await sim('bring-up', await listen(swapped), '--only', 'ib=-10 A', '--for', '50 ms');
    expect(run.code, run.out + run.err).toBe(1);
    expect(run.out).toMatch(/current C \[A\] .*currentC\n +\^ follows ib: are two phases swapped\?\n/);
    expect(run.out).toContain('2 watch values deviate');
  });

  it('walks through everything that the board has, with what to look at', async () => {
    const run = await sim('bring-up', await listen(sound()), '--all', '--for', '400 ms', '--pack', '17 V');
    expect(run.code, run.out + run.err).toBe(0);
    const stops = [...run.out.matchAll(/^ {2}(\d+)\/(\d+) {2}(\S.*?) {2}\(/gm)].map(([, k, n, what]) => ({
      k,
      n,
      what,
    }));
    expect(stops.length).toBeGreaterThan(12);
    expect(stops.every(({ k, n }, at) => k === String(at + 1) && n === String(stops.length))).toBe(true);
    expect(stops.map(({ what }) => what)).toContain('angle = 180 deg');
    expect(run.out.match(/^ {4}look at: /gm)).toHaveLength(stops.length);
    expect(run.out).toMatch(/^ {4}link +1918 {2}17 V$/m);
    for (const line of run.out.split('\n').slice(1)) expect(line.length, line).toBeLessThanOrEqual(100);
  });

  it('holds other things on the pins meanwhile', async () => {
    const around = ['--with', 'direction=in', 'trigger=40%'];
    const run = await sim('bring-up', await listen(sound()), '--only', 'angle=60deg', ...around, '--for', '50 ms');
    expect(run.out).toMatch(/^ {2}angle = 60 deg with direction = in, trigger = 40 % {2}\(/m);
    expect(run.out).toMatch(/^ {4}tick \d+ +STATE_RUNNING; A low, B PWM, C open$/m);
  });

  it('ends with 2 and says what this board cannot be shown', async () => {
    const run = await sim('bring-up', await listen(readingBoard()), '--only', 'bridge=60C');
    expect(run.code, run.out).toBe(2);
    expect(run.err).toBe('--only bridge=60C: this board cannot be shown bridge: Hello states no thermistors\n');
  });

  it.each([
    ['ix=3A', "--only ix=3A: nothing is called 'ix'; nearest is 'ia'; allowed are ia, ib, ic, link"],
    ['ia', '--only ia: write it as NAME=VALUE'],
    ['ia=3V', "--only ia=3V: '3 V' has the unit V; allowed are A, mA"],
    ['ia=3', "--only ia=3: 3 has no unit; write it as '3 A'"],
    ['ia=900A', 'ia is beyond what this board reads, -165 A to 164.92 A'],
    ['link=40V', 'link is beyond what this board reads, 0 V to 36.291 V'],
    ['hall=D', '--only hall=D: allowed are none, A, B, AB, C, AC, BC, ABC'],
    ['direction=inn', "--only direction=inn: nearest is 'in'; allowed are in, out, locked"],
    ['gyro=1rad/s', 'this board cannot be shown gyro: Hello.gyroPerCount_rad_s is left out'],
  ])('refuses --only %s', (text, words) => {
    expect(() => readInjection('--only', text, readingBoard().hello)).toThrow(SetUpError);
    expect(() => readInjection('--only', text, readingBoard().hello)).toThrow(words);
  });

  it.each([
    [{ only: 'ix=3A', for: '1 s' }, "nothing is called 'ix'"],
    [{ only: 'ia=1A', with: ['ib'], for: '1 s' }, '--with ib: write it as NAME=VALUE'],
    [{ only: 'ia=1A', for: '5' }, '--for 5: 5 has no unit'],
    [{ only: 'ia=1A', for: '1000 s' }, '--for 1000 s: allowed is 0 s to 600 s'],
    [{ only: 'ia=1A', all: true, for: '1 s' }, 'bring-up: say what to inject'],
    [{ for: '1 s' }, 'bring-up: say what to inject'],
    [{ only: 'ia=1A', for: '1 s', pack: '18' }, '--pack 18 has no unit'],
  ])('refuses %j before anything is opened', async (options, words) => {
    await expect(bringUp('tcp:127.0.0.1:1', options)).rejects.toThrow(words);
  });

  it('ends with 3 when the board falls silent', async () => {
    let answers = 0;
    const board = readingBoard();
    const mute: Controller = {
      hello: board.hello,
      tick(sense, drive) {
        board.tick(sense, drive);
        if (++answers > 210) drive.tick = 5;
      },
    };
    const run = await sim('bring-up', await listen(mute), '--only', 'ia=1A', '--for', '50 ms');
    expect(run.code, run.out).toBe(3);
    expect(run.err).toMatch(/no answer to tick \d+ within 2 s; instead a Drive for tick 5 came/);
  });
});
