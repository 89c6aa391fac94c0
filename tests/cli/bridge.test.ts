/** What passes the bridge, and what happens when either side goes. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { UNHEARD_MOST, WAITING_MOST } from '../../src/cli/node-bridge-ends.ts';
import { openSession } from '../../src/links/session.ts';
import { BRIDGE_PATH, offeredProtocols } from '../../src/links/web-socket-bridge.ts';
import { acceptedByBoard } from '../../src/protocol/accepted.ts';
import { blankDrive, blankSense, encodeBeat, encodeNote, encodeSense } from '../../src/protocol/codec.ts';
import { BEAT, BYE, GREET, NOTE, SENSE, WELCOME } from '../../src/protocol/frames.ts';
import { MessageSender } from '../../src/protocol/message.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamReceiver, StreamSender } from '../../src/protocol/stream.ts';
import { RawSocket } from '../links/ws-server.ts';
import { BOARD_LINK } from './bridge-page.ts';
import { openAsPage, originOf, pageFolder, type RunningBridge, runBridge, TcpBoard } from './bridge-rig.ts';
import { sim } from './sim.ts';

let board: TcpBoard;
const opened: { close(): unknown }[] = [];
beforeEach(async () => {
  board = await new TcpBoard().listen();
});
afterEach(async () => {
  for (const each of opened.splice(0).reverse()) await each.close();
  await board.close();
});
const keep = <T extends { close(): unknown }>(each: T): T => {
  opened.push(each);
  return each;
};
const run = async (options: { yes?: boolean } = {}): Promise<RunningBridge> =>
  keep(await runBridge(board.link, options));

/** Ids of the frames that the board has got, in order. */
function gotIds(): number[] {
  const ids: number[] = [];
  const receiver = new StreamReceiver(acceptedByBoard(), (id) => ids.push(id));
  for (const chunk of board.got) receiver.push(chunk);
  return ids;
}

/** Sends frames as a page that keeps no rule would. */
class RudePage {
  readonly sender = new MessageSender(300);
  readonly raw: RawSocket;

  private constructor(raw: RawSocket) {
    this.raw = raw;
  }

  static async come({ bridge }: RunningBridge): Promise<RudePage> {
    const raw = await RawSocket.connect(Number(new URL(bridge.address).port));
    keep({ close: () => raw.socket.destroy() });
    const protocols = offeredProtocols(bridge.address.split('#bridge=')[1]).join(', ');
    const headers = { Origin: originOf(bridge.address), 'Sec-WebSocket-Protocol': protocols };
    expect(await raw.shake({ path: BRIDGE_PATH, headers })).toMatch(/^HTTP\/1\.1 101 /);
    return new RudePage(raw);
  }

  /** One binary message, with a mask of zeros. */
  message(bytes: Uint8Array, first = 0x82): void {
    const head = bytes.length < 126 ? [0x80 | bytes.length] : [0xfe, bytes.length >> 8, bytes.length & 255];
    this.raw.socket.write(Uint8Array.of(first, ...head, 0, 0, 0, 0, ...bytes));
  }

  sense(tick: number): Uint8Array {
    const { sender } = this;
    return sender.wrap(SENSE.id, encodeSense({ ...blankSense(), tick }, sender.packet, PAYLOAD_AT)).slice();
  }
}

describe('bridge', () => {
  it('wraps anew between messages and a stream, and counts both ways', async () => {
    const running = await run();
    const link = await openSession(await openAsPage(running.bridge.address), { beat_s: 0 });
    const drive = blankDrive(1);
    for (let tick = 0; tick < 300; tick++) {
      expect(await link.exchange({ ...blankSense(), tick, ib: tick }, drive)).toBe('ok');
      expect(drive).toMatchObject({ tick, dutyB: tick });
    }
    expect(link.hello.board).toBe('six-step board');
    await link.close();
    // From the page: Greet, 300 Sense, Bye. To it: Hello, 300 Drive.
    expect(await running.shows('passed 302 frames')).toMatch(
      /^passed 302 frames \(\d+ bytes\) from the page, 301 \(\d+ bytes\) to it; withheld 0; dropped none$/,
    );
    await expect.poll(() => gotIds().length).toBe(303); // and the Greet of the bridge itself
    expect(gotIds().filter((id) => id === SENSE.id)).toHaveLength(300);
  });

  it('passes no damaged frame, from either side, and counts it where it came in', async () => {
    const running = await run();
    const page = await RudePage.come(running);
    const good = page.sense(7);
    const bad = good.slice();
    bad[5] ^= 1;
    page.message(bad);
    page.message(good.subarray(0, 20));
    page.message(Uint8Array.of(0x77, 0, 0));
    page.message(good);
    await expect.poll(() => gotIds()).toEqual([GREET.id, SENSE.id]);
    for (const socket of board.sockets) socket.write(Uint8Array.of(0, 5, 1, 2, 3, 0));
    await new Promise((later) => setTimeout(later, 50));
    page.raw.socket.destroy();
    expect(await running.shows(/^passed 1 frames/)).toMatch(
      /dropped (3|2) bad checksum.*from the page, 1 bad stuffing from the board$/,
    );
  });

  it('withholds what could move anything until the key is pressed, and passes the rest', async () => {
    const running = await run({ yes: false });
    const waits: string[] = [];
    let done = false;
    const opening = openAsPage(running.bridge.address, { onWait: (words) => waits.push(words) }).finally(() => {
      done = true;
    });
    await running.shows('disconnect the power stage from motor and pack, then press Enter');
    await expect.poll(() => waits).toEqual(['press Enter at the bridge']);
    expect(done).toBe(false);
    running.bridge.press();
    const link = keep(await openSession(await opening));
    expect(await link.exchange(blankSense(), blankDrive(1))).toBe('ok');
  });

  it('holds a page to the key that does not wait for it', async () => {
    const running = await run({ yes: false });
    const page = await RudePage.come(running);
    page.message(page.sense(1));
    page.message(
      page.sender.wrap(BEAT.id, encodeBeat({ number: 1, levels: 0, clock: 0 }, page.sender.packet, PAYLOAD_AT)),
    );
    await expect.poll(() => gotIds()).toEqual([GREET.id, BEAT.id]);
    expect(running.bridge.withheld).toBe(1);
    running.bridge.press();
    page.message(page.sense(2));
    await expect.poll(() => gotIds()).toEqual([GREET.id, BEAT.id, SENSE.id]);
  });

  it('keeps the key for a page that comes back, and asks again for a new one', async () => {
    const running = await run({ yes: false });
    const opening = openAsPage(running.bridge.address);
    await running.shows('press Enter');
    running.bridge.press();
    const first = await opening;
    await first.close();
    await running.shows('the page has gone');
    const again = await openAsPage(first.again);
    await again.close();
    await expect.poll(() => running.lines.filter((line) => line.startsWith('the page has gone'))).toHaveLength(2);
    const waits: string[] = [];
    const other = openAsPage(running.bridge.address, { onWait: (words) => waits.push(words), patience_s: 0.3 });
    await expect(other).rejects.toThrow('not ready within 0.3 s');
    expect(waits).toEqual(['press Enter at the bridge']);
  });

  it('tells the board Bye when its page goes without one, and says after which time', async () => {
    const running = await run();
    const page = await RudePage.come(running);
    page.message(page.sense(1));
    await expect.poll(() => gotIds()).toEqual([GREET.id, SENSE.id]);
    const from_ms = performance.now();
    page.raw.socket.destroy(); // as a browser that was killed
    const line = await running.shows('the board was told Bye');
    expect(line).toMatch(/^the board was told Bye, \d+\.\d ms after its last frame$/);
    await expect.poll(() => gotIds()).toEqual([GREET.id, SENSE.id, BYE.id]);
    expect(Number(/([\d.]+) ms/.exec(line)![1])).toBeLessThan(performance.now() - from_ms + 2000);
    expect(running.lines.some((each) => each.includes('without a farewell'))).toBe(true);
  });

  it('does not say Bye twice when the page said it', async () => {
    const running = await run();
    const link = await openSession(await openAsPage(running.bridge.address));
    link.welcome({ coupling: 1, tick_s: 50e-6 });
    await link.exchange(blankSense(), blankDrive(1));
    await link.close();
    await running.shows('the page has gone');
    await running.close();
    const ids = gotIds();
    expect(ids.filter((id) => id === BYE.id)).toHaveLength(1);
    expect(ids).toContain(WELCOME.id);
  });

  it('parts from board and page when it ends', async () => {
    const running = await run();
    const link = keep(await openSession(await openAsPage(running.bridge.address)));
    await link.exchange(blankSense(), blankDrive(1));
    await running.close();
    expect(await link.exchange({ ...blankSense(), tick: 1 }, blankDrive(1))).toMatchObject({
      cause: 'closed',
      message: expect.stringContaining('the other side went away (code 1001: the bridge ends), after 1 answers'),
    });
    expect(gotIds().at(-1)).toBe(BYE.id);
  });
});

describe('bridge, a board that goes', () => {
  it('tells the page, looks for the board until it answers, and takes the page back', async () => {
    const running = await run();
    const wire = await openAsPage(running.bridge.address);
    const link = keep(await openSession(wire));
    await link.exchange(blankSense(), blankDrive(1));
    await board.unplug();
    expect(await link.exchange({ ...blankSense(), tick: 1 }, blankDrive(1))).toMatchObject({
      cause: 'closed',
      message: expect.stringContaining('the bridge has lost its board (code 4004: '),
    });
    await running.shows(/^the board is lost: tcp:127\.0\.0\.1:\d+: .*after \d+ frames/);
    expect(running.lines.at(-2)).toMatch(/^passed/); // the page was let go at once, not when the board came back
    const waits: string[] = [];
    const again = openAsPage(wire.again, { onWait: (words) => waits.push(words) });
    await expect.poll(() => waits).toEqual(['the bridge is looking for its board']);
    await board.listen();
    const back = keep(await openSession(await again));
    await running.shows('the board is back: six-step board bench 7');
    expect(await back.exchange(blankSense(), blankDrive(1))).toBe('ok');
  });

  it('waits for the same board: another at its place is named and not passed on', async () => {
    const running = await run();
    const wire = await openAsPage(running.bridge.address);
    await board.unplug();
    board.hello = { uid: 'bench 8' };
    await board.listen();
    await running.shows('another board answers, six-step board bench 8; waited for is six-step board bench 7');
    const again = openAsPage(wire.again);
    await board.unplug();
    board.hello = {};
    await board.listen();
    await running.shows('the board is back: six-step board bench 7');
    expect(keep(await again).board).toContain('bench 7');
  });

  it('asks for the key again when the board comes back with other firmware', async () => {
    const running = await run({ yes: false });
    const opening = openAsPage(running.bridge.address);
    await running.shows('press Enter');
    running.bridge.press();
    const first = await opening;
    await board.unplug();
    board.hello = { firmware: 'd4e5f6' };
    await board.listen();
    await running.shows('six-step board bench 7 is back with other firmware: d4e5f6, before a1b2c3');
    const waits: string[] = [];
    const again = openAsPage(first.again, { onWait: (words) => waits.push(words) });
    await expect.poll(() => waits).toEqual(['press Enter at the bridge']);
    running.bridge.press();
    expect(keep(await again).board).toContain('firmware d4e5f6');
  });

  it('starts a process again by its command, though its number is another', async () => {
    const running = keep(await runBridge(`exec:exec '${process.execPath}' --import tsx tests/cli/bridge-process.ts 3`));
    const uid = (text: string): string => /process \d+/.exec(text)![0];
    const wire = await openAsPage(running.bridge.address);
    const link = keep(await openSession(wire));
    const drive = blankDrive(1);
    for (let tick = 0; tick < 3; tick++) expect(await link.exchange({ ...blankSense(), tick }, drive)).toBe('ok');
    expect(await link.exchange({ ...blankSense(), tick: 3 }, drive)).toMatchObject({
      message: expect.stringContaining('code 4004: the process ended with code 3'),
    });
    await running.shows('its last words: assertion failed: rotor');
    expect(uid(await running.shows('the board is back'))).not.toBe(uid(wire.board));
    const back = keep(await openSession(await openAsPage(wire.again)));
    expect(await back.exchange(blankSense(), drive)).toBe('ok');
  });

  it('does not begin without a board, and leaves no port open', async () => {
    await board.unplug();
    await expect(runBridge(board.link)).rejects.toThrow(`${board.link}: cannot connect`);
  });
});

describe('bridge, what does not keep to its measure', () => {
  it('cuts off a page that does not read, with what waits for it bounded', async () => {
    const running = await run();
    const page = await RudePage.come(running);
    page.raw.socket.pause();
    const sender = new StreamSender(300);
    const note = sender
      .wrap(NOTE.id, encodeNote({ level: 0, text: 'x'.repeat(200) }, sender.packet, PAYLOAD_AT))
      .slice();
    const flood = Buffer.concat(Array.from({ length: 300 }, () => note));
    const [socket] = board.sockets;
    let gone = false;
    const line = running.shows(/^the page has gone: .*bytes waited for it/).finally(() => {
      gone = true;
    });
    while (!gone) {
      if (!socket.write(flood)) await new Promise((drained) => socket.once('drain', drained));
      await new Promise((turn) => setImmediate(turn));
    }
    const waited = Number(/code 4005: (\d+) bytes/.exec(await line)![1]);
    expect(waited).toBeGreaterThan(WAITING_MOST);
    expect(waited).toBeLessThan(WAITING_MOST + 300); // one frame more
  });

  it('ends with a page that sends more frames than any credit allows', async () => {
    const silent = await new TcpBoard().listen();
    keep(silent);
    const running = keep(await runBridge(silent.link));
    for (const socket of silent.sockets) socket.removeAllListeners('data').resume();
    const page = await RudePage.come(running);
    for (let tick = 0; tick <= UNHEARD_MOST + 1; tick++) page.message(page.sense(tick));
    expect(await page.raw.closing()).toMatchObject({
      code: 4005,
      reason: expect.stringContaining('a page keeps to its credits'),
    });
  });

  it('refuses text and messages longer than 64 KiB', async () => {
    const running = await run();
    const texting = await RudePage.come(running);
    texting.message(Buffer.from('Hello'), 0x81);
    expect(await texting.raw.closing()).toEqual({ code: 4003, reason: 'frames are binary messages; text came' });
    await running.shows('the page has gone');
    const huge = await RudePage.come(running);
    huge.raw.socket.write(Uint8Array.of(0x82, 0xff, 0, 0, 0, 0, 0, 1, 0, 1));
    expect((await huge.raw.closing()).code).toBe(1009);
  });

  it('takes a board that sends no frames for lost', async () => {
    const running = await run();
    for (const socket of board.sockets) socket.write(new Uint8Array(20_000).fill(0x55));
    await running.shows(/^the board is lost: .* bytes without a valid frame/);
    await running.shows('the board is back');
  });
});

describe('bridge command', () => {
  it('will not run unattended without --yes, and says so', async () => {
    const { code, err } = await sim('bridge', 'tcp:127.0.0.1:1');
    expect(code).toBe(2);
    expect(err).toContain('frames pass only after Enter is pressed here, and standard input is no terminal');
    expect(err).toContain('--yes');
  });

  it('names the kinds of link that it takes', async () => {
    const { code, err } = await sim('bridge', 'usb:3', '--yes');
    expect(code).toBe(2);
    expect(err).toContain('usb:3: allowed are exec:CMD, tcp:HOST:PORT');
  });

  it('ends with 2 when nothing is there', async () => {
    const { code, err } = await sim('bridge', 'tcp:127.0.0.1:1', '--yes', '--port', '0', '--folder', 'src');
    expect(code).toBe(2);
    expect(err).toContain('index.html is missing');
  });

  it('prints the address, carries a process to the page, and parts from it on Ctrl+C', async () => {
    const child = spawn(
      process.execPath,
      ['--import', 'tsx', 'src/cli/main.ts', 'bridge', BOARD_LINK, '--yes', '--port', '0', '--folder', pageFolder()],
      { stdio: ['ignore', 'pipe', 'inherit'], env: { ...process.env, NO_COLOR: '1' } },
    );
    keep({ close: () => child.kill('SIGKILL') });
    let out = '';
    child.stdout.on('data', (chunk) => {
      out += chunk;
    });
    const printed = /for one opening: (\S+)\n/;
    await expect.poll(() => printed.exec(out)?.[1], { timeout: 60_000 }).toBeDefined();
    expect(out).toContain('Disconnect the power stage from motor and pack.');
    expect(out).toMatch(/^board: six-step board bench 7, firmware a1b2c3, at exec:/m);
    const link = await openSession(await openAsPage(printed.exec(out)![1]));
    const drive = blankDrive(1);
    for (let tick = 0; tick < 100; tick++) expect(await link.exchange({ ...blankSense(), tick }, drive)).toBe('ok');
    const ended = once(child, 'exit');
    child.kill('SIGINT');
    expect(await ended).toEqual([0, null]);
    expect(out).toContain('the board was told Bye');
    expect(await link.exchange({ ...blankSense(), tick: 100 }, drive)).toMatchObject({
      message: expect.stringContaining('code 1001: the bridge ends'),
    });
    await link.close();
  });
});
