/**
 * One program, every way to reach it: the run ends in the same state to the last bit over standard streams, TCP, WebSocket
 * and a serial line, and with the same program compiled for another processor.
 *
 * In lock-step the drill waits for every answer, so a link may bring time but no other number.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { hasSerialport, Pty } from '../links/serial-pty.ts';
import { starterCommand } from '../support/c-starter.ts';
import { missing } from '../support/qemu.ts';
import { buildNative, type Run, runShort, startWebSocketServer } from './same-hash-rig.ts';

const lacking = [...missing('gcc', 'socat'), ...(hasSerialport ? [] : ['the package serialport'])];

let elsewhere: Run;
beforeAll(async () => {
  elsewhere = await runShort(`exec:${await starterCommand()}`);
});

describe('the starter over every kind of link', () => {
  it('has compiler, pty and driver where changes are accepted', () => {
    expect(process.env.CI === 'true' ? lacking : []).toEqual([]);
  });

  it('seats the screw as WebAssembly', () => {
    expect(elsewhere).toMatchObject({ verdict: 'passed', coupling: 'lock-step', board: 'six-step starter' });
    expect(elsewhere.answered).toBeGreaterThan(4000);
  });

  if (lacking.length > 0) return;

  const folder = mkdtempSync(join(tmpdir(), 'phantom-links-'));
  let program: string;
  let child: ChildProcess | undefined;
  beforeAll(() => {
    program = buildNative(folder, 'posix');
  });
  afterEach(() => void child?.kill());
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  const same = (run: Run): void => {
    expect(run).toMatchObject({ verdict: 'passed', coupling: 'lock-step', lostTime_s: 0 });
    expect(run.answered).toBe(elsewhere.answered);
    expect(run.stateHash).toBe(elsewhere.stateHash);
  };

  it('ends alike over standard streams', async () => {
    same(await runShort(`exec:${program}`));
  });

  it('ends alike over TCP', async () => {
    const port = await freePort();
    child = spawn(program, ['--listen', String(port)], { stdio: 'ignore' });
    same(await runShort(`tcp:127.0.0.1:${port}`, true));
  });

  it('ends alike over WebSocket, served in C', async () => {
    const server = await startWebSocketServer(buildNative(folder, 'websocket'));
    child = server.child;
    same(await runShort(server.address));
  });

  it('ends alike over a serial line', async () => {
    const pty = new Pty();
    try {
      await pty.plugProgram(program);
      same(await runShort(`serial:${pty.path}`));
    } finally {
      await pty.remove();
    }
  });
});

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as { port: number };
  await new Promise((resolve) => server.close(resolve));
  return port;
}
