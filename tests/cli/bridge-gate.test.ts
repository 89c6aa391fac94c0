/** Who comes to the board over the bridge, and who does not: Host, Origin, token, a board in use. */
import { request } from 'node:http';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Tokens } from '../../src/cli/node-bridge-gate.ts';
import { openSession } from '../../src/links/session.ts';
import { BRIDGE_PATH, offeredProtocols } from '../../src/links/web-socket-bridge.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import { RawSocket } from '../links/ws-server.ts';
import { openAsPage, originOf, type RunningBridge, runBridge, TcpBoard } from './bridge-rig.ts';

let board: TcpBoard;
let running: RunningBridge;
const opened: { close(): unknown }[] = [];
beforeEach(async () => {
  board = await new TcpBoard().listen();
  running = await runBridge(board.link);
});
afterEach(async () => {
  for (const each of opened.splice(0).reverse()) await each.close();
  await running.close();
  await board.close();
});

const portOf = (address: string): number => Number(new URL(address).port);
const tokenOf = (address: string): string => address.split('#bridge=')[1];

/** Knocks by hand; the head of the answer. */
async function knock(headers: Record<string, string>, path = BRIDGE_PATH): Promise<{ raw: RawSocket; head: string }> {
  const { address } = running.bridge;
  const raw = await RawSocket.connect(portOf(address));
  opened.push({ close: () => raw.socket.destroy() });
  const offered = { 'Sec-WebSocket-Protocol': offeredProtocols(tokenOf(address)).join(', ') };
  const head = await raw.shake({ path, headers: { Origin: originOf(address), ...offered, ...headers } });
  return { raw, head };
}

async function exchanges(link: Awaited<ReturnType<typeof openSession>>, from: number, count: number): Promise<void> {
  const drive = blankDrive(1);
  for (let tick = from; tick < from + count; tick++) {
    expect(await link.exchange({ ...blankSense(), tick, ia: tick & 1023 }, drive)).toBe('ok');
    expect(drive).toMatchObject({ tick, dutyA: tick & 1023 });
  }
}

function get(headers: Record<string, string>): Promise<{ status: number; body: string }> {
  return new Promise((answered, failed) => {
    const sent = request({ host: '127.0.0.1', port: portOf(running.bridge.address), headers }, (response) => {
      let body = '';
      response.on('data', (chunk) => {
        body += chunk;
      });
      response.on('end', () => answered({ status: response.statusCode ?? 0, body }));
    });
    sent.once('error', failed);
    sent.end();
  });
}

describe('gate of the bridge', () => {
  it('lets its own page in, and agrees on the subprotocol without repeating the token', async () => {
    const { head } = await knock({});
    expect(head).toMatch(/^HTTP\/1\.1 101 /);
    expect(head).toContain('Sec-WebSocket-Protocol: phantom-spindle\r\n');
    expect(head).not.toContain('token.');
  });

  it('lets in the page under its other name, localhost', async () => {
    const port = portOf(running.bridge.address);
    const { head } = await knock({ Host: `localhost:${port}`, Origin: `http://localhost:${port}` });
    expect(head).toMatch(/^HTTP\/1\.1 101 /);
  });

  it('never agrees to compression, though every browser offers it', async () => {
    const { head } = await knock({ 'Sec-WebSocket-Extensions': 'permessage-deflate; client_max_window_bits' });
    expect(head).toMatch(/^HTTP\/1\.1 101 /);
    expect(head).not.toMatch(/Sec-WebSocket-Extensions/i);
  });

  it.each([
    ['of the web', 'https://evil.example'],
    ['of a file or sandbox', 'null'],
    ['of no page', ''],
    ['of another port of this machine', 'http://127.0.0.1:1'],
    ['with our name at its front', 'http://127.0.0.1.evil.example'],
  ])('answers 403 to a page %s that knows the token, and the token stays good', async (_which, origin) => {
    const { head, raw } = await knock({ Origin: origin });
    expect(head).toMatch(/^HTTP\/1\.1 403 Forbidden/);
    await raw.ended();
    await running.shows(`refused a socket asked by a page of '${origin}'; allowed is http://127.0.0.1:`);
    opened.push(await openAsPage(running.bridge.address));
  });

  it('compares origins with scheme and port, not by their beginning', async () => {
    const port = portOf(running.bridge.address);
    for (const origin of [
      `https://127.0.0.1:${port}`,
      `http://127.0.0.1:${port}0`,
      `http://127.0.0.1:${port}/`,
      'http://127.0.0.1',
    ]) {
      expect((await knock({ Origin: origin })).head, origin).toMatch(/^HTTP\/1\.1 403/);
    }
  });

  it('answers 403 to a name of the web that was made to point here, for page and socket', async () => {
    const port = portOf(running.bridge.address);
    const host = `board.evil.example:${port}`;
    expect((await knock({ Host: host, Origin: `http://${host}` })).head).toMatch(/^HTTP\/1\.1 403/);
    const page = await get({ Host: host });
    expect(page.status).toBe(403);
    expect(page.body).toContain(`asked for as host '${host}'; allowed is 127.0.0.1:${port} or localhost:${port}`);
    expect((await get({ Host: `127.0.0.1:${port}` })).body).toContain('<title>bench</title>');
  });

  it('has the board at one path only: a token in a query opens nothing', async () => {
    const path = `${BRIDGE_PATH}?token=${tokenOf(running.bridge.address)}`;
    expect((await knock({}, path)).head).toMatch(/^HTTP\/1\.1 404/);
    expect((await knock({}, '/')).head).toMatch(/^HTTP\/1\.1 404/);
  });

  it.each([
    ['none', 'phantom-spindle'],
    ['an empty one', 'phantom-spindle, token.'],
    ['a wrong one', `phantom-spindle, token.${'A'.repeat(32)}`],
  ])('refuses a page with a token that is %s, in words', async (_which, offered) => {
    const { raw } = await knock({ 'Sec-WebSocket-Protocol': offered });
    expect(await raw.closing()).toEqual({
      code: 4002,
      reason: 'used, or none of this bridge; Enter at the bridge prints another',
    });
  });

  it('takes a token once, and gives the page another for coming back', async () => {
    const { address } = running.bridge;
    const first = await openAsPage(address);
    expect(first.board).toContain('six-step board bench 7');
    await first.close();
    await running.shows('the page has gone');
    await expect(openAsPage(address)).rejects.toThrow(
      'the token of the address is not valid (code 4002: used, or none of this bridge; Enter at the bridge prints another)',
    );
    const again = await openAsPage(first.again);
    opened.push(again);
    await running.shows('the page has come back');
    expect(again.again).not.toBe(first.again);
  });

  it('keeps the token for coming back off the terminal', async () => {
    const wire = await openAsPage(running.bridge.address);
    opened.push(wire);
    expect(tokenOf(wire.again)).toMatch(/^[\w-]{32}$/);
    expect(running.lines.join('\n')).not.toContain(tokenOf(wire.again));
  });

  it('does not let a second page take a board in use, with or without a good token; the first goes on', async () => {
    const { address } = running.bridge;
    const first = await openSession(await openAsPage(address));
    opened.push(first);
    await exchanges(first, 0, 50);
    const [used, wrong] = await Promise.all([
      openAsPage(address).catch((error: Error) => error.message),
      knock({ 'Sec-WebSocket-Protocol': 'phantom-spindle, token.x' }).then(({ raw }) => raw.closing()),
      exchanges(first, 50, 300),
    ]);
    expect(used).toContain('used, or none of this bridge, and a page has the board');
    expect(wrong).toMatchObject({ code: 4002 });
    expect(first.counters).toMatchObject({ sent: 350, answered: 350, repeated: 0, wrongTick: 0 });
  });

  it('says that the board is in use to a copy of the page, and leaves its token to the page', async () => {
    const wire = await openAsPage(running.bridge.address);
    const first = await openSession(wire);
    opened.push(first);
    await exchanges(first, 0, 10);
    await expect(openAsPage(wire.again)).rejects.toThrow('the board is in use (code 4001: another page has it)');
    await exchanges(first, 10, 10);
    await first.close();
    await running.shows('the page has gone');
    opened.push(await openAsPage(wire.again));
  });

  it('prints a token of at least 128 bits, behind the # only', () => {
    const { address } = running.bridge;
    expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/#bridge=[\w-]{32}$/); // 32 digits of 6 bits
    expect(new URL(address).search).toBe('');
  });
});

describe('tokens', () => {
  it('are good each on its own way, until used or replaced', () => {
    const tokens = new Tokens();
    const printed = tokens.issue('printed');
    const given = tokens.issue('given');
    expect(printed).not.toBe(given);
    expect([tokens.wayOf(printed), tokens.wayOf(given), tokens.wayOf('')]).toEqual(['printed', 'given', undefined]);
    tokens.use('printed');
    expect([tokens.wayOf(printed), tokens.wayOf(given)]).toEqual([undefined, 'given']);
    const other = tokens.issue('given');
    expect([tokens.wayOf(given), tokens.wayOf(other)]).toEqual([undefined, 'given']);
  });
});
