/** The C WebSocket server as a program, from outside: who is let in, who is turned away, what ends a connection. */
import { type ChildProcess, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { openLink } from '../../src/links/node-kinds.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { RawSocket } from '../links/ws-server.ts';
import { make, missing, startServer } from '../support/c-native.ts';
import { unhex } from '../support/hex.ts';

const lacking = missing('gcc', 'make');

describe('C server of WebSocket', () => {
  it('has a compiler where changes are accepted', () => {
    expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
  });

  if (lacking.length > 0) return;

  const folder = mkdtempSync(join(tmpdir(), 'phantom-ws-server-'));
  const program = join(folder, 'starter-ws');
  let child: ChildProcess;
  let address: string;
  let port: number;
  beforeAll(async () => {
    make('ports/websocket', folder);
    ({ child, place: address } = await startServer(program, '--foc', '--uid', 'bench 3'));
    port = Number(new URL(address).port);
  });
  afterAll(() => {
    child?.kill();
    rmSync(folder, { recursive: true, force: true });
  });

  const open = () => openLink({ kind: 'ws', what: address.slice('ws:'.length) });
  type Link = Awaited<ReturnType<typeof open>>;

  async function exchange(link: Link, first: number, count: number): Promise<void> {
    const drive = blankDrive(link.hello.watch.length);
    for (let tick = first; tick < first + count; tick++) {
      expect(await link.exchange({ ...blankSense(), tick }, drive)).toBe('ok');
      expect(drive.tick).toBe(tick);
    }
  }

  it('serves one drill after another, and says which controller and board it is', async () => {
    for (let drill = 0; drill < 3; drill++) {
      const link = await open();
      expect(link.hello).toMatchObject({ board: 'field-oriented starter', uid: 'bench 3' });
      await exchange(link, 1, 50);
      expect(link.counters).toMatchObject({ sent: 50, answered: 50, restarts: 0, lost: 0 });
      expect(Object.values(link.counters.drops).every((count) => count === 0)).toBe(true);
      await link.close();
    }
  });

  it('turns a second drill away while the first goes on', async () => {
    const link = await open();
    await exchange(link, 1, 10);
    await expect(open()).rejects.toThrow('503');
    const raw = await RawSocket.connect(port);
    expect(await raw.shake()).toMatch(/^HTTP\/1\.1 503 Service Unavailable/);
    expect((await raw.read(20)).toString()).toBe('the board is in use\n');
    raw.socket.destroy();
    await exchange(link, 11, 10);
    await link.close();
    const next = await open();
    await next.close();
  });

  it('answers the ping of an independent client, and its farewell', async () => {
    const socket = new WebSocket(address);
    await once(socket, 'open');
    socket.ping('are you there');
    expect(String((await once(socket, 'pong'))[0])).toBe('are you there');
    socket.close(4001, 'enough');
    expect((await once(socket, 'close'))[0]).toBe(4001);
  });

  it.each([
    ['text', '81 85 37 fa 21 3d 7f 9f 4d 51 58', 1003],
    ['a message that is too long', '82 fe 04 01', 1009],
    ['a frame without a mask', '82 01 00', 1002],
  ])('says why it ends a connection: %s', async (_, bytes, code) => {
    const raw = await RawSocket.connect(port);
    expect(await raw.shake()).toMatch(/^HTTP\/1\.1 101 /);
    await raw.drip(unhex(bytes));
    expect((await raw.closing()).code).toBe(code);
    await raw.ended();
    raw.socket.destroy();
  });

  it('lets in no page of another origin and no name of another machine', async () => {
    const headOf = async (headers: Record<string, string>): Promise<string> => {
      const raw = await RawSocket.connect(port);
      const head = await raw.shake({ headers });
      raw.socket.destroy();
      return head;
    };
    expect(await headOf({ Origin: 'https://elsewhere.example' })).toContain('403 Forbidden');
    expect(await headOf({ Host: 'elsewhere.example' })).toContain('421 Misdirected Request');
    expect(await headOf({ Origin: 'http://127.0.0.1:5173' })).toContain('101 Switching Protocols');
  });

  it('takes the next drill although one that connected never asks', async () => {
    const mute = await RawSocket.connect(port);
    await mute.ended(); // after five seconds
    const link = await open();
    await exchange(link, 1, 5);
    await link.close();
  });

  it('says what is wrong with its arguments', () => {
    const run = (...args: string[]) => spawnSync(program, args, { encoding: 'utf8' });
    expect(run()).toMatchObject({ status: 2, stderr: expect.stringContaining('usage: starter-ws') });
    expect(run('--listen')).toMatchObject({ status: 2, stderr: expect.stringContaining('usage: starter-ws') });
    expect(run('--listen', '70000')).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('allowed is a port from 0 to 65535'),
    });
    expect(run('--uid', 'x'.repeat(64), '--listen', '0')).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('--uid has 64 bytes; allowed are 63'),
    });
    expect(run('--listen', String(port))).toMatchObject({ status: 1, stderr: expect.stringContaining('bind') });
  });
});
