/** The WebSocket wire in Node, both directions, against boards that the `ws` package serves. */

import { Socket } from 'node:net';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { WebSocket } from 'ws';
import { SetUpError } from '../../src/links/errors.ts';
import type { LinkLoss, LockStepLink } from '../../src/links/link.ts';
import { linkPlace, openLink } from '../../src/links/node-kinds.ts';
import { openTcpWire } from '../../src/links/node-tcp.ts';
import { openWsListener, openWsWire, standard } from '../../src/links/node-ws.ts';
import { openSession, Session } from '../../src/links/session.ts';
import { pageAdvice, socketWire, webSocketWire } from '../../src/links/web-socket.ts';
import { closeReason, closeText } from '../../src/links/web-socket-codes.ts';
import type { Wire } from '../../src/links/wire.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { promised, RawSocket, serveEcho, socketServer, type TestServer } from './ws-server.ts';

const opened: { close(): unknown }[] = [];
afterEach(async () => {
  for (const each of opened.splice(0).reverse()) await each.close();
});
const keep = <T extends { close(): unknown }>(each: T): T => {
  opened.push(each);
  return each;
};

async function exchanges(link: LockStepLink, count: number): Promise<void> {
  const sense = blankSense();
  const drive = blankDrive(1);
  for (let tick = 1; tick <= count; tick++) {
    Object.assign(sense, { tick, ib: tick & 0x7fff });
    expect(await link.exchange(sense, drive)).toBe('ok');
    expect(drive).toMatchObject({ tick, dutyB: tick & 0x7fff });
  }
}

const server = async (...what: Parameters<typeof socketServer>): Promise<TestServer> =>
  keep(await socketServer(...what));

/** What an opening is rejected with. */
async function refusal(opening: Promise<{ close(): unknown }>): Promise<Error> {
  try {
    keep(await opening);
  } catch (error) {
    return error as Error;
  }
  throw new Error('it opened');
}

/** Our listener and the address at which it waits. */
async function listener(wait_s = 30): Promise<{ address: string; opening: Promise<Wire> }> {
  const address = promised<string>();
  const opening = openWsListener('0', { onWaiting: address.resolve, wait_s });
  return { opening, address: await address.promise };
}

describe('WebSocket link to a server', () => {
  it('exchanges frames, one message each, without compression', async () => {
    let extensions = 'none seen';
    let lengths = new Set<number>();
    const { address } = await server(
      (socket, request) => {
        extensions = request.headers['sec-websocket-extensions'] ?? '';
        serveEcho(socket);
        socket.on('message', (data: Buffer) => lengths.add(data.length));
      },
      { perMessageDeflate: { threshold: 0 } }, // a server that would like to
    );
    const link = keep(await openLink(linkPlace(address)!));
    lengths = new Set();
    await exchanges(link, 300);
    expect(link.name).toBe(address);
    expect(extensions).toBe('');
    expect([...lengths]).toEqual([35]); // id, 32 bytes of Sense, checksum: no message carries two
    expect(link.counters).toMatchObject({ sent: 300, answered: 300, hellos: 1 });
  });

  it('holds no frame back to fill a packet: every socket of ours has the delay of Nagle off', async () => {
    const off = vi.spyOn(Socket.prototype, 'setNoDelay');
    const { address, port } = await server(() => undefined);
    const count = (): number => off.mock.contexts.length;
    keep(await openTcpWire(`127.0.0.1:${port}`));
    const afterTcp = count();
    expect(afterTcp).toBeGreaterThan(0);
    keep(await openWsWire(address));
    expect(count() - afterTcp).toBeGreaterThanOrEqual(2); // both ends of the WebSocket
    expect(off.mock.calls.every(([on]) => on !== false)).toBe(true);
    off.mockRestore();
  });

  it('hears what a board says before anybody listens', async () => {
    const { address } = await server((socket) => {
      socket.send(Uint8Array.of(1, 2, 3));
      socket.send(Uint8Array.of(4));
    });
    const wire = keep(await openWsWire(address));
    await new Promise((later) => setTimeout(later, 50));
    const heard: number[][] = [];
    wire.attach({ take: (bytes) => heard.push([...bytes]), lose: () => undefined, progress: '' });
    expect(heard).toEqual([[1, 2, 3], [4]]);
  });

  it.each([
    [1000, '', 'the other side closed the connection (code 1000)'],
    [1008, 'not you', 'the other side refuses by its rules (code 1008: not you)'],
    [1009, '', 'a message was longer than the other side takes (code 1009)'],
    [4001, 'by bench 7', 'the board is in use (code 4001: by bench 7)'],
    [4321, 'own \u001b[31mwords', 'the other side closed the connection (code 4321: own  [31mwords)'],
  ])('says close code %i in words', async (code, reason, words) => {
    let theirs: WebSocket | undefined;
    const { address } = await server((socket) => {
      theirs = socket;
      serveEcho(socket);
    });
    const link = keep(await openSession(await openWsWire(address)));
    await exchanges(link, 2);
    theirs!.close(code, reason);
    theirs!.removeAllListeners('message');
    const loss = await link.exchange({ ...blankSense(), tick: 3 }, blankDrive(1));
    expect(loss).toEqual({ cause: 'closed', message: `${address}: ${words}, after 2 answers` });
  });

  it('says that a connection broke when no farewell came', async () => {
    const { address } = await server((socket) => {
      serveEcho(socket);
      setTimeout(() => socket.terminate(), 50);
    });
    const link = keep(await openSession(await openWsWire(address)));
    await new Promise((later) => setTimeout(later, 200));
    const loss = await link.exchange(blankSense(), blankDrive(1));
    expect(loss).toMatchObject({ cause: 'closed' });
    expect((loss as { message: string }).message).toContain('the connection broke without a farewell');
    expect((loss as { message: string }).message).toContain('code 1006');
  });

  it('loses a board that speaks text, and counts it', async () => {
    const closed = promised<{ code: number; reason: string }>();
    const { address } = await server((socket) => {
      socket.on('close', (code, reason) => closed.resolve({ code, reason: reason.toString() }));
      socket.send('{"speed":1}');
    });
    const wire = keep(await webSocketWire(address, (to) => standard(new WebSocket(to))));
    expect((await closed.promise).code).toBe(4003);
    expect(wire.counts).toMatchObject({ text: 1 });
    const failure = await refusal(openSession(wire));
    expect(failure.message).toContain(`text came where frames are binary messages: '{"speed":1}', before its Hello`);
    expect(failure).toMatchObject({ loss: { cause: 'garbage' } });
  });

  it('sends nothing into a socket that has gone, and never throws', async () => {
    const { address } = await server((socket) => socket.close());
    const wire = keep(await openWsWire(address));
    await new Promise((later) => setTimeout(later, 50));
    expect(() => wire.send(new Uint8Array(10))).not.toThrow();
    await wire.close();
    await wire.close();
  });

  it('misses a board whose line goes dead by its signs of life alone, in about a second', async () => {
    let dead = false;
    const { address } = await server((socket) => {
      serveEcho(socket);
      const [serve] = socket.listeners('message') as ((data: Buffer) => void)[];
      socket.removeAllListeners('message');
      socket.on('message', (data: Buffer) => dead || serve(data)); // as with a cable pulled: nothing comes, nothing closes
    });
    const wire = keep(await openWsWire(address));
    const session = new Session(wire);
    const lost = promised<LinkLoss>();
    session.onLost = lost.resolve;
    wire.attach(session);
    await session.open();
    await new Promise((later) => setTimeout(later, 600));
    expect(session.counters.beatsMissed).toBe(0);
    dead = true;
    const from_ms = performance.now();
    expect(await lost.promise).toEqual({
      cause: 'silent',
      message: `${address}: 3 signs of life 0.25 s apart were not answered`,
    });
    const took_ms = performance.now() - from_ms;
    expect(took_ms).toBeGreaterThan(500); // three were waited for, and the first may have gone out before
    expect(took_ms).toBeLessThan(4000); // four beats, on a machine that may be busy; TCP alone would need minutes
  });
});

describe('WebSocket link, set-up', () => {
  it('names a port where nobody listens', async () => {
    const { address, close } = await socketServer(() => undefined);
    await close();
    const failure = await refusal(openWsWire(address));
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toMatch(new RegExp(`^${address}: cannot connect: .*ECONNREFUSED`));
  });

  it('names a server that speaks no WebSocket', async () => {
    const { createServer } = await import('node:http');
    const plain = createServer((_request, response) => response.writeHead(404).end());
    await new Promise<void>((ready) => plain.listen(0, '127.0.0.1', ready));
    keep(plain);
    const { port } = plain.address() as { port: number };
    const failure = await refusal(openWsWire(`ws://127.0.0.1:${port}/`));
    expect(failure.message).toContain('Unexpected server response: 404');
  });

  it('gives up after 5 s where a server takes the connection and says nothing', async () => {
    const { createServer } = await import('node:net');
    const mute = createServer((socket) => void socket.on('error', () => undefined));
    await new Promise<void>((ready) => mute.listen(0, '127.0.0.1', ready));
    const { port } = mute.address() as { port: number };
    const from_ms = performance.now();
    const failure = await refusal(openWsWire(`ws://127.0.0.1:${port}/`));
    expect(failure).toBeInstanceOf(SetUpError);
    expect(performance.now() - from_ms).toBeGreaterThan(4900);
    mute.close();
  });

  it.each(['ws:', 'ws:localhost:5301', 'ws:///x', 'ws://h:0/', 'ws://h:99999/', 'ws://h/#x', 'wss:h'])(
    'refuses %s and says what is allowed',
    (text) => {
      expect(() => linkPlace(text)).toThrow(SetUpError);
      expect(() => linkPlace(text)).toThrow('allowed is ws://HOST:PORT/PATH or wss://...');
    },
  );

  it.each(['ws-listen:', 'ws-listen:-1', 'ws-listen:65536', 'ws-listen:host:1'])('refuses %s', (text) => {
    expect(() => linkPlace(text)).toThrow('allowed is a port from 0 to 65535');
  });

  it('reads ws://, wss:// and ws-listen: as kinds of a link', () => {
    expect(linkPlace('ws://[::1]:5301/board')).toEqual({ kind: 'ws', what: '//[::1]:5301/board' });
    expect(linkPlace('wss://drill.example/')).toEqual({ kind: 'wss', what: '//drill.example/' });
    expect(linkPlace('ws-listen:5301')).toEqual({ kind: 'ws-listen', what: '5301' });
  });
});

describe('WebSocket link from a board that connects to us', () => {
  it('exchanges frames', async () => {
    const { address, opening } = await listener();
    const board = new WebSocket(address);
    serveEcho(board);
    keep({ close: () => board.terminate() });
    const link = keep(await openSession(await opening));
    await exchanges(link, 300);
    expect(board.extensions).toBe('');
  });

  it('tells a second board that another is connected; the first goes on', async () => {
    const { address, opening } = await listener();
    const board = new WebSocket(address);
    serveEcho(board);
    keep({ close: () => board.terminate() });
    const link = keep(await openSession(await opening));
    const second = new WebSocket(address);
    const closed = new Promise((done) => second.on('close', (code, reason) => done(`${code} ${reason}`)));
    await exchanges(link, 50);
    expect(await closed).toBe('4001 another board is connected');
    await exchanges(link, 50);
  });

  it('refuses a web page: it could pose as a board', async () => {
    const { address, opening } = await listener();
    const raw = await RawSocket.connect(Number(new URL(address).port));
    expect(await raw.shake({ headers: { Origin: 'http://evil.example' } })).toMatch(/^HTTP\/1\.1 403 Forbidden/);
    const board = new WebSocket(address);
    serveEcho(board);
    keep({ close: () => board.terminate() });
    await exchanges(keep(await openSession(await opening)), 3);
  });

  it('waits so long and no longer, and leaves no port open', async () => {
    const { address, opening } = await listener(0.2);
    expect((await refusal(opening)).message).toBe('ws-listen:0: no board connected within 0.2 s');
    expect((await refusal(openWsWire(address))).message).toContain('ECONNREFUSED');
  });

  it('says that a port is taken', async () => {
    const { port } = await server(() => undefined);
    const failure = await refusal(openWsListener(String(port), { onWaiting: () => undefined }));
    expect(failure.message).toBe(`ws-listen:${port}: cannot listen: port ${port} is taken by another program`);
  });
});

describe('WebSocket wire of a page', () => {
  it('asks for array buffers before the first message, and counts an alarm by the amount that waits', () => {
    const sent: Uint8Array[] = [];
    const like = Object.assign(new EventTarget(), {
      binaryType: 'blob',
      readyState: 1,
      bufferedAmount: 0,
      send: (bytes: Uint8Array) => sent.push(bytes),
    });
    const wire = socketWire(like as unknown as globalThis.WebSocket, 'page');
    expect(like.binaryType).toBe('arraybuffer');
    wire.send(Uint8Array.of(1));
    expect(wire.counts.alarms).toBe(0);
    like.bufferedAmount = 65_537;
    wire.send(Uint8Array.of(2));
    expect(wire.counts.alarms).toBe(1);
    expect(sent).toHaveLength(2); // an alarm holds nothing back: the runtimes disagree on what they count
  });

  it('explains why a page from https does not reach this machine', () => {
    const advice = pageAdvice('ws://localhost:4818/board', 'https://drill.example');
    expect(advice).toContain('This page comes from https://drill.example');
    expect(advice).toContain("'npm run sim -- bridge LINK' prints its address");
    expect(pageAdvice('ws://10.0.0.7/', 'https://drill.example')).toContain('without encryption');
    expect(pageAdvice('ws://localhost:1/', 'http://localhost:1')).toBe('');
    expect(pageAdvice('wss://drill.example/', 'https://drill.example')).toBe('');
    expect(pageAdvice('ws://localhost:1/', '')).toBe('');
  });

  it('a constructor that throws is a fault of the set-up', async () => {
    const failure = await refusal(
      webSocketWire('ws://127.0.0.1:1/', () => {
        throw new DOMException('An insecure WebSocket connection may not be initiated', 'SecurityError');
      }),
    );
    expect(failure).toBeInstanceOf(SetUpError);
    expect(failure.message).toContain('An insecure WebSocket connection may not be initiated');
  });

  it('keeps a reason within what a close frame carries', () => {
    const cut = closeReason('Ω'.repeat(100));
    expect(new TextEncoder().encode(cut).length).toBeLessThanOrEqual(123);
    expect(cut).toMatch(/^Ω+\.\.\.$/);
    expect(closeReason('short')).toBe('short');
    expect(closeText(1006)).toContain('without a farewell');
  });
});
