/** `sim conform` as a user meets it: what it prints, what it writes, how it ends. */
import { type AddressInfo, createServer, type Server } from 'node:net';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { conform } from '../../src/cli/conform.ts';
import { EXAMINATIONS } from '../../src/examine/examine.ts';
import { SetUpError } from '../../src/links/errors.ts';
import { served, sound } from '../examine/boards.ts';
import { DEFECTS } from '../examine/defects.ts';
import { starterCommand } from '../support/c-starter.ts';
import { folder, json, sim } from './sim.ts';

let server: Server | undefined;
afterEach(() => server?.close());

/** Serves a board on a free port of this machine; its place. */
async function listen(make: (say: (bytes: Uint8Array) => void) => { take(bytes: Uint8Array): void }): Promise<string> {
  server = createServer((socket) => {
    socket.setNoDelay(true);
    const board = make((bytes) => socket.write(bytes.slice()));
    socket.on('data', (chunk) => board.take(chunk));
    socket.on('error', () => undefined);
  });
  await new Promise<void>((resolve) => server!.listen(0, '127.0.0.1', resolve));
  return `tcp:127.0.0.1:${(server.address() as AddressInfo).port}`;
}

const defect = (name: string) => DEFECTS.find((each) => each.name === name)!;

describe('sim conform', { timeout: 180_000 }, () => {
  it('finds nothing to mend on the C starter, and says the caution first', async () => {
    const place = `exec:${await starterCommand()}`;
    const out = join(folder(), 'conform.json');
    const run = await sim('conform', place, '--json', out);
    expect(run.code, run.out + run.err).toBe(0);
    const lines = run.out.split('\n');
    expect(lines[0]).toBe(`Conformance of ${place}`);
    expect(lines[1]).toMatch(/^ {2}Caution\. Take the power stage off motor and pack/);
    expect(run.out.replace(/\s+/g, ' ')).toContain('standard that applies, and for qualified people');
    for (const { id } of EXAMINATIONS) expect(run.out).toMatch(new RegExp(`^ {2}(holds|warning) +${id} `, 'm'));
    expect(run.out).toMatch(/\n {2}\d+ hold, 0 to mend, \d+ warnings?, 0 not examined\n {2}conforms\n$/);
    for (const line of lines.slice(1)) expect(line.length, line).toBeLessThanOrEqual(100);

    const report = json(out);
    expect(report).toMatchObject({
      link: place,
      lost: null,
      counts: { mend: 0 },
      hello: { board: 'six-step starter' },
    });
    expect(report.caution).toContain('power stage');
    expect(report.examinations.map(({ id }: { id: string }) => id)).toEqual(EXAMINATIONS.map(({ id }) => id));
    for (const each of report.examinations)
      for (const key of ['title', 'does', 'expects', 'matters', 'mend', 'saw'])
        expect(each[key].length).toBeGreaterThan(3);
  });

  it('finds nothing to mend on a built-in controller behind a port', async () => {
    const run = await sim('conform', await listen((say) => served(sound(), say)));
    expect(run.code, run.out + run.err).toBe(0);
    expect(run.out).toContain(`${EXAMINATIONS.length} hold, 0 to mend, 0 warnings, 0 not examined`);
  });

  it('ends with 1 when there is something to mend, and says what was seen, why it matters and how to mend it', async () => {
    const run = await sim('conform', await listen(defect('counts frames instead of ticks').make));
    expect(run.code, run.out).toBe(1);
    const block = run.out.slice(run.out.search(/^ {2}mend +lost-frame/m)).replace(/\s+/g, ' ');
    expect(block).toMatch(/^ mend lost-frame with every other tick left out its speed reads \d+(\.\d+)? instead of/);
    expect(block).toContain('does lets the tick jump by 2');
    expect(block).toContain('matters a frame lost on the line still took its time');
    expect(block).toContain('TIME.md');
    expect(run.out).toMatch(/\n {2}21 hold, 1 to mend, 0 warnings, 0 not examined\n {2}to mend\n$/);
  });

  it('ends with 3 when nothing introduces itself', async () => {
    const run = await sim('conform', await listen(() => ({ take: () => undefined })));
    expect(run.code, run.out).toBe(3);
    expect(run.out).toMatch(/^ {2}mend +hello +no Hello within 5 s of a Greet; not a byte came$/m);
    expect(run.out).toContain('board lost: it says no Hello');
    expect(run.out).toContain(`0 hold, 1 to mend, 0 warnings, ${EXAMINATIONS.length - 1} not examined`);
  });

  it('ends with 2 when there is no such program', async () => {
    const run = await sim('conform', 'exec:no-such-program-here');
    expect(run.code).toBe(2);
    expect(run.err).toContain('command not found');
    expect(run.out).not.toContain('mend');
  });

  it.each([
    ['foo', {}, 'conform foo: allowed are exec:CMD, tcp:HOST:PORT'],
    ['tcp:localhost', {}, 'allowed is HOST:PORT'],
    ['exec:cat', { pack: '18' }, "--pack 18 has no unit; write it as '18 V'"],
    ['exec:cat', { pack: '900 V' }, '--pack 900 V is out of range; allowed is 1 V to 100 V'],
  ])('refuses %s %j', async (place, options, words) => {
    await expect(conform(place, options)).rejects.toThrow(SetUpError);
    await expect(conform(place, options)).rejects.toThrow(words);
  });
});
