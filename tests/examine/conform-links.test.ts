/** Boards at the end of a real link conform as they do in memory. */
import { type AddressInfo, createServer } from 'node:net';
import { describe, expect, it } from 'vitest';
import { examine } from '../../src/examine/examine.ts';
import { openStdioWire } from '../../src/links/node-stdio.ts';
import { openTcpWire } from '../../src/links/node-tcp.ts';
import { starterCommand } from '../support/c-starter.ts';
import { served, sound } from './boards.ts';

describe('an examination over a real link', { timeout: 180_000 }, () => {
  it('finds nothing to mend on the C starter behind pipes', async () => {
    const command = await starterCommand();
    const report = await examine(async () => openStdioWire(command), { hello_s: 30 });
    expect(report.results.filter(({ verdict }) => verdict === 'mend' || verdict === 'not examined')).toEqual([]);
    expect(report.hello?.board).toBe('six-step starter');
    expect(report.lost).toBeUndefined();
  });

  it('finds nothing to mend on the built-in controller behind a TCP port', async () => {
    const server = createServer((socket) => {
      const board = served(sound(), (bytes) => socket.write(bytes.slice()));
      socket.setNoDelay(true);
      socket.on('data', (chunk) => board.take(chunk));
      socket.on('error', () => undefined);
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    try {
      const place = `127.0.0.1:${(server.address() as AddressInfo).port}`;
      const report = await examine(() => openTcpWire(place));
      expect(report.results.filter(({ verdict }) => verdict !== 'holds')).toEqual([]);
      expect(report.link).toBe(`tcp:${place}`);
    } finally {
      server.close();
    }
  });

  it('gives a board up that leaves and cannot be reached again', async () => {
    const server = createServer((socket) => {
      let frames = 0;
      const board = served(sound(), (bytes) => {
        socket.write(bytes.slice());
        if (++frames === 100) {
          server.close();
          socket.end();
        }
      });
      socket.on('data', (chunk) => board.take(chunk));
      socket.on('error', () => undefined);
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    const place = `127.0.0.1:${(server.address() as AddressInfo).port}`;
    const report = await examine(() => openTcpWire(place));
    expect(report.lost).toContain(`tcp:${place}: cannot connect`);
    const found = report.results.find(({ verdict }) => verdict === 'mend');
    expect(found?.id).toBe('released');
    expect(found?.saw).toContain('the other side closed the connection');
    expect(report.results.filter(({ saw }) => saw.startsWith('the board is lost')).length).toBe(18);
  });
});
