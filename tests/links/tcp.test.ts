import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { LinkLostError, SetUpError } from '../../src/links/errors.ts';
import { openTcpLink, parseTcpPlace } from '../../src/links/node-tcp.ts';
import { ServedController } from '../../src/links/served.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { echoController } from './echo-controller.ts';

let server: Server | undefined;
afterEach(() => server?.close());

/** Serves connections on a free port of this machine; its HOST:PORT. */
async function listen(onConnection: (socket: Socket) => void): Promise<string> {
  server = createServer(onConnection);
  await new Promise<void>((resolve) => server!.listen(0, '127.0.0.1', resolve));
  return `127.0.0.1:${(server.address() as AddressInfo).port}`;
}

function serveEcho(socket: Socket): void {
  const board = new ServedController(echoController(), (bytes) => socket.write(bytes.slice()));
  socket.on('data', (chunk) => board.receiver.push(chunk));
  socket.on('error', () => undefined);
}

describe('TCP link', () => {
  it('greets a board that waits to be asked, and exchanges frames', async () => {
    const link = await openTcpLink(await listen(serveEcho));
    const sense = blankSense();
    const drive = blankDrive(1);
    for (let k = 0; k < 200; k++) {
      sense.tick = k;
      sense.ib = k;
      expect(await link.exchange(sense, drive)).toBe('ok');
      expect(drive.dutyB).toBe(k);
    }
    expect(link.counters).toMatchObject({ sent: 200, answered: 200, hellos: 1 });
    await link.close();
  });

  it('names a connection that the other side closes', async () => {
    let theirs: Socket | undefined;
    const place = await listen((socket) => {
      theirs = socket;
      serveEcho(socket);
    });
    const link = await openTcpLink(place);
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe('ok');
    theirs!.removeAllListeners('data').end();
    expect(await link.exchange({ ...blankSense(), tick: 1 }, blankDrive(1))).toEqual({
      cause: 'closed',
      message: `tcp:${place}: the other side closed the connection after 1 answers`,
    });
    await link.close();
  });

  it('gives up a server that talks but is no board', async () => {
    const place = await listen((socket) => {
      socket.on('error', () => undefined);
      socket.write('220 mail.example ready\r\n');
    });
    const failure = await openTcpLink(place, { hello_s: 0.3 }).catch((error) => error);
    expect(failure).toBeInstanceOf(LinkLostError);
    expect(failure.message).toBe(`tcp:${place}: no Hello within 0.3 s; 24 bytes came`);
  });

  it('counts a late answer after the link was given up', async () => {
    const place = await listen((socket) => {
      const board = new ServedController(echoController(), (bytes) => {
        const copy = bytes.slice();
        setTimeout(() => socket.write(copy), copy.length < 40 ? 400 : 0); // Hello at once, Drive late
      });
      socket.on('data', (chunk) => board.receiver.push(chunk));
      socket.on('error', () => undefined);
    });
    const link = await openTcpLink(place, { answer_s: 0.2 });
    expect(await link.exchange(blankSense(), blankDrive(1))).toMatchObject({ cause: 'no answer' });
    await expect.poll(() => link.counters.late).toBe(1);
    await link.close();
  });

  it('a refused connection is a fault of the set-up', async () => {
    const place = await listen(() => undefined);
    await new Promise((resolve) => server!.close(resolve));
    const failure = await openTcpLink(place).catch((error) => error);
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toContain(`tcp:${place}: cannot connect`);
  });

  it.each([
    ['localhost:5301', { host: 'localhost', port: 5301 }],
    ['10.0.0.7:1', { host: '10.0.0.7', port: 1 }],
    ['[::1]:65535', { host: '::1', port: 65_535 }],
  ])('reads %s', (text, place) => {
    expect(parseTcpPlace(text)).toEqual(place);
  });

  it.each(['', 'localhost', 'localhost:', ':5301', 'localhost:0', 'localhost:65536', '::1:5301', 'a b:1', 'h:5301x'])(
    'refuses "%s" and says what is allowed',
    (text) => {
      expect(() => parseTcpPlace(text)).toThrow(SetUpError);
      expect(() => parseTcpPlace(text)).toThrow('allowed is HOST:PORT with a port from 1 to 65535');
    },
  );
});
