/**
 * One program, every way to reach it: the run ends in the same state to the last bit over standard streams, TCP, WebSocket
 * and a serial line, and with the same program compiled for another processor.
 *
 * In lock-step the drill waits for every answer, so a link may bring time but no other number.
 */
import type { ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { hasSerialport, Pty } from '../links/serial-pty.ts';
import { make, missing, startServer } from '../support/c-native.ts';
import { starterCommand } from '../support/c-starter.ts';
import { type Run, runShort } from './same-hash-rig.ts';

const lacking = [...missing('gcc', 'make', 'socat'), ...(hasSerialport ? [] : ['the package serialport'])];

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
  const program = join(folder, 'starter');
  let child: ChildProcess | undefined;
  beforeAll(() => make('.', folder));
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
    const server = await startServer(program);
    child = server.child;
    same(await runShort(server.place));
  });

  it('ends alike over WebSocket, served in C', async () => {
    make('ports/websocket', folder);
    const server = await startServer(join(folder, 'starter-ws'));
    child = server.child;
    same(await runShort(server.place));
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
