/**
 * The WebSocket port of the C kit without sockets: digest, handshake, frames. Runs on every machine, as WebAssembly.
 *
 * Source   RFC 6455, The WebSocket Protocol: key and answer of section 1.3, frames of section 5.7, rules of sections 4.2,
 *          5 and 7.4, from memory; the masked bytes agree with the masking rule applied to them here.
 *          FIPS 180 for the digest of "abc" and RFC 4648, section 10, for the digits of base64, from memory; both also
 *          against the implementations of Node.
 */
import { type ChildProcessWithoutNullStreams, spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { compileToWasm, kitSources, STRICT, wasiCommand } from '../support/c-build.ts';
import { BOARD, missing } from '../support/c-native.ts';
import { unhex } from '../support/hex.ts';
import { seededInt } from '../support/seeded.ts';

const PARTS = ['sha1', 'ws_frames', 'ws_handshake'].map((name) => `ports/websocket/${name}.c`);
const KEY = unhex('37 fa 21 3d');

/** Origin that a request of the kind `o` may come from. */
const ORIGIN = 'https://drill.example';

let wasm: string;
let child: ChildProcessWithoutNullStreams;
beforeAll(async () => {
  const port = Object.entries(kitSources()).filter(([name]) => name.startsWith('ports/websocket/'));
  const sources = {
    ...Object.fromEntries(port),
    'probe.c': readFileSync(new URL('./ws-probe.c', import.meta.url), 'utf8'),
  };
  wasm = await compileToWasm('ws-probe', sources, [...PARTS, 'probe.c'], ['-Iports/websocket']);
  child = spawn(wasiCommand(wasm), { shell: true });
});
afterAll(() => void child?.stdin.end());

/** Length in two bytes, and the bytes. */
const record = (bytes: Uint8Array): Buffer =>
  Buffer.concat([Buffer.from([bytes.length & 255, bytes.length >> 8]), bytes]);

/** Hands one record to the probe: h to digest, f frames, s a request, o a request while ORIGIN is allowed. */
async function probe(kind: 'h' | 'f' | 's' | 'o', input: string | Uint8Array): Promise<string[]> {
  child.stdin.write(Buffer.concat([Buffer.from(kind), record(Buffer.from(input))]));
  let out = '';
  while (!/(^|\n)\.\n$/.test(out)) out += await once(child.stdout, 'data').then(([chunk]) => String(chunk));
  return out.split(/\r?\n/).slice(0, -2);
}

/** Applies the rule of section 5.3. */
const masked = (body: Uint8Array): Uint8Array => body.map((byte, k) => byte ^ KEY[k % 4]);

/** One frame of a client: first byte, body. */
function frame(first: number, body: Uint8Array | string): Uint8Array {
  const bytes = Buffer.from(body);
  const { length } = bytes;
  const size = length < 126 ? [length] : length < 65536 ? [126, length >> 8, length & 255] : [];
  if (size.length === 0) throw new Error('longer than the tests need');
  return Uint8Array.of(first, 0x80 | size[0], ...size.slice(1), ...KEY, ...masked(bytes));
}

const frames = (...each: Uint8Array[]): Promise<string[]> => probe('f', Buffer.concat(each));
const digits = (bytes: Uint8Array | string): string => Buffer.from(bytes).toString('hex');

describe('SHA-1 and base64', () => {
  it('digests "abc" as published', async () => {
    expect((await probe('h', 'abc'))[0]).toBe('sha1 a9993e364706816aba3e25717850c26c9cd0d89d');
  });

  it.each([0, 1, 55, 56, 63, 64, 65, 119, 120, 128, 1000])('digests %i bytes as OpenSSL does', async (length) => {
    const bytes = Uint8Array.from({ length }, (_, k) => (k * 31 + 7) & 0xff);
    expect((await probe('h', bytes))[0]).toBe(`sha1 ${createHash('sha1').update(bytes).digest('hex')}`);
  });

  it.each([
    ['f', 'Zg=='],
    ['fo', 'Zm8='],
    ['foo', 'Zm9v'],
    ['foobar', 'Zm9vYmFy'],
    [Buffer.from([0xfb, 0xff, 0xfe]), '+//+'],
  ])('writes %s in base64', async (bytes, text) => {
    expect(Buffer.from(bytes as string).toString('base64')).toBe(text);
    expect((await probe('h', bytes))[1]).toBe(`base64 ${text}`);
  });
});

const LINES: Readonly<Record<string, string>> = {
  Host: 'localhost:5302',
  Upgrade: 'websocket',
  Connection: 'keep-alive, Upgrade',
  'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25jZQ==',
  'Sec-WebSocket-Version': '13',
};

function request(change: Readonly<Record<string, string | undefined>> = {}, first = 'GET /any HTTP/1.1'): string {
  const lines = Object.entries({ ...LINES, ...change }).filter(([, value]) => value !== undefined);
  return `${first}\r\n${lines.map(([name, value]) => `${name}: ${value}\r\n`).join('')}\r\n`;
}

describe('handshake', () => {
  it('answers the key of the example with the value of the example', async () => {
    const answer = await probe('s', request());
    expect(answer[0]).toBe('HTTP/1.1 101 Switching Protocols');
    expect(answer).toContain('Sec-WebSocket-Accept: s3pPLMBiTxaQ9kYGzzhZRbK+xOo=');
    expect(answer.at(-1)).toContain('status 101');
  });

  it.each([
    ['names in other letters and lines of no account', { HOST: '127.0.0.1', Host: undefined, Cookie: 'a=b' }],
    ['a line longer than its buffer', { Cookie: 'x'.repeat(4000) }],
    ['an origin of this machine', { Origin: 'http://localhost:5173' }],
    ['another one', { Origin: 'http://[::1]:8080', Host: '[::1]:5302' }],
  ])('takes %s', async (_, change) => {
    expect((await probe('s', request(change)))[0]).toBe('HTTP/1.1 101 Switching Protocols');
  });

  it('takes the origin that it was told, and no other', async () => {
    const from = async (origin: string) => (await probe('o', request({ Origin: origin })))[0];
    expect(await from(ORIGIN)).toContain(' 101 ');
    expect(await from(`${ORIGIN}.net`)).toContain(' 403 ');
  });

  it.each([
    [403, 'a page of elsewhere', { Origin: 'https://elsewhere.example' }],
    [403, 'a page without an origin', { Origin: 'null' }],
    [403, 'a name that only begins like this machine', { Origin: 'http://localhost.elsewhere.example' }],
    [403, 'a name that only ends like it', { Origin: 'http://elsewhere.example/://localhost.' }],
    [403, 'a number that only begins like it', { Origin: 'http://127.0.0.1.elsewhere.example' }],
    [421, 'a host of elsewhere that was pointed here', { Host: 'elsewhere.example:5302' }],
    [421, 'a host with a name before it', { Host: 'someone@localhost' }],
    [400, 'no host', { Host: undefined }],
    [400, 'two hosts', { host: 'localhost' }],
    [426, 'another version', { 'Sec-WebSocket-Version': '8' }],
    [426, 'no upgrade', { Upgrade: undefined }],
    [426, 'an upgrade to something else', { Upgrade: 'h2c' }],
    [426, 'no word of it in Connection', { Connection: 'keep-alive' }],
    [400, 'no key', { 'Sec-WebSocket-Key': undefined }],
    [400, 'a key of 15 bytes', { 'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25j' }],
    [400, 'a key that is no base64', { 'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25jZ!==' }],
    [431, 'more than 16 KB', { Cookie: 'x'.repeat(17_000) }],
  ])('refuses with %i: %s', async (status, _, change) => {
    const answer = await probe('s', request(change));
    expect(answer[0]).toContain(`HTTP/1.1 ${status} `);
    expect(answer.at(-1)).toContain(`messages 0 pings 0 status ${status}`);
  });

  it.each([
    [405, 'POST / HTTP/1.1'],
    [400, 'GET / HTTP/1.0'],
    [400, 'SSH-2.0-client'],
    [400, ''],
  ])('refuses with %i: %s', async (status, first) => {
    expect((await probe('s', request({}, first)))[0]).toContain(`HTTP/1.1 ${status} `);
  });
});

describe('frames', () => {
  it('closes with 1003 on the masked text of the example', async () => {
    expect(await frames(unhex('81 85 37 fa 21 3d 7f 9f 4d 51 58'))).toEqual([
      'put 880203eb',
      'closed 1003 messages 0 pings 0 status 101',
    ]);
  });

  it('takes the same bytes as a binary message, and in two pieces with a ping between them', async () => {
    expect(digits(masked(Buffer.from('Hello')))).toBe('7f9f4d5158');
    const whole = unhex('82 85 37 fa 21 3d 7f 9f 4d 51 58');
    const [begin, ping, end] = [frame(0x02, 'Hel'), frame(0x89, 'Hello'), frame(0x80, 'lo')];
    expect(await frames(whole, begin, ping, end)).toEqual([
      `take ${digits('Hello')}`,
      `put 8a05${digits('Hello')}`,
      `take ${digits('Hello')}`,
      'closed 0 messages 2 pings 1 status 101',
    ]);
  });

  it('takes messages of every length form up to its limit', async () => {
    for (const length of [0, 1, 125, 126, 127, 255, 256, 1024]) {
      const body = Uint8Array.from({ length }, (_, k) => (k * 7 + 1) & 0xff);
      expect((await frames(frame(0x82, body)))[0]).toBe(`take ${digits(body)}`);
    }
  });

  it.each([
    ['256 bytes, as the example writes their length', '82 fe 01 00', 0],
    ['65 536 bytes, as the example writes it', '82 ff 00 00 00 00 00 01 00 00', 1009],
    ['one byte too many', '82 fe 04 01', 1009],
    ['2^62 bytes', '82 ff 40 00 00 00 00 00 00 00', 1009],
    ['2^63 bytes, which no frame has', '82 ff 80 00 00 00 00 00 00 00', 1002],
    ['5 bytes in the form of 16 bits', '82 fe 00 05', 1002],
    ['256 bytes in the form of 64 bits', '82 ff 00 00 00 00 00 00 01 00', 1002],
    ['a frame without a mask', '82 05', 1002],
    ['a reserved bit', 'c2', 1002],
    ['a reserved kind', '83', 1002],
    ['a reserved kind of control', '8b', 1002],
    ['a ping in pieces', '09', 1002],
    ['a ping of 126 bytes', '89 fe 00 7e', 1002],
    ['a piece of nothing', '80', 1002],
  ])('judges by the header alone: %s', async (_, head, code) => {
    expect((await frames(unhex(head))).at(-1)).toContain(`closed ${code} messages 0`);
  });

  it('refuses a new message inside another, and pieces that grow beyond the limit', async () => {
    expect((await frames(frame(0x02, 'a'), frame(0x82, 'b'))).at(-1)).toContain('closed 1002 messages 0');
    const piece = new Uint8Array(512);
    expect((await frames(frame(0x02, piece), frame(0x00, piece), frame(0x80, ''))).at(-1)).toContain(
      'closed 0 messages 1',
    );
    expect((await frames(frame(0x02, piece), frame(0x00, piece), frame(0x80, 'x'))).at(-1)).toContain(
      'closed 1009 messages 0',
    );
  });

  it.each([
    ['03e8', '03e8', 1000],
    [`03e8${digits('bye')}`, '03e8', 1000],
    ['0fa1', '0fa1', 4001],
    ['', '', 1005],
    ['03ed', '03ea', 1002], // 1005 stands for no code and may not be sent
    ['03ee', '03ea', 1002],
    ['0001', '03ea', 1002],
    ['03', '03ea', 1002],
  ])('answers a close frame with body "%s" with "%s"', async (body, back, code) => {
    const close = frame(0x88, Buffer.from(body, 'hex'));
    const size = (back.length / 2).toString(16).padStart(2, '0');
    expect(await frames(close, frame(0x82, 'late'))).toEqual([
      `put 88${size}${back}`,
      `closed ${code} messages 0 pings 0 status 101`,
    ]);
  });
});

/** Good sessions with a few bytes changed, dropped or doubled, and pure noise. */
function sessions(count: number, seed: number): Buffer {
  const draw = seededInt(seed);
  const parts: Buffer[] = [];
  for (let k = 0; k < count; k++) {
    let bytes = Buffer.from(k & 1 ? request({ Origin: 'http://localhost' }) : goodFrames(draw));
    const faults = draw(4);
    for (let fault = 0; fault < faults && bytes.length > 0; fault++) {
      const at = draw(bytes.length);
      const how = draw(3);
      if (how === 0) bytes[at] ^= 1 << draw(8);
      else if (how === 1) bytes = Buffer.concat([bytes.subarray(0, at), bytes.subarray(at + 1 + draw(5))]);
      else bytes = Buffer.concat([bytes.subarray(0, at + 1), bytes.subarray(at)]);
    }
    if (draw(10) === 0) bytes = Buffer.from(Array.from({ length: draw(300) }, () => draw(256)));
    parts.push(Buffer.from('x'), record(bytes));
  }
  return Buffer.concat(parts);
}

function goodFrames(draw: (below: number) => number): Buffer {
  const body = () => Uint8Array.from({ length: draw(8) === 0 ? draw(1025) : draw(60) }, () => draw(256));
  const each = () => (draw(4) === 0 ? frame(0x89, body().subarray(0, 125)) : frame(0x82, body()));
  return Buffer.concat(Array.from({ length: 1 + draw(6) }, each));
}

describe('hostile bytes', () => {
  const COUNT = 20_000;
  const survives = (run: { status: number | null; stdout: string; stderr: string }): void => {
    expect(`${run.status} ${run.stderr}`).toBe('0 ');
    const [seen, messages, longest, open] = (run.stdout.match(/\d+/g) ?? []).map(Number);
    expect(seen).toBe(COUNT);
    expect(messages).toBeGreaterThan(COUNT / 2);
    expect(longest).toBeLessThanOrEqual(1024);
    expect(open).toBeGreaterThan(COUNT / 4);
    expect(open).toBeLessThan(COUNT);
  };

  it('end no program and make no long message', () => {
    const options = { shell: true, input: sessions(COUNT, 5), encoding: 'utf8' } as const;
    survives(spawnSync(wasiCommand(wasm, 'many'), options));
  });

  if (missing('gcc').length > 0) return;

  it('touch no memory but their own, by the sanitizers of gcc', () => {
    const folder = mkdtempSync(join(tmpdir(), 'phantom-ws-'));
    afterAll(() => rmSync(folder, { recursive: true, force: true }));
    const program = join(folder, 'probe');
    const source = new URL('./ws-probe.c', import.meta.url).pathname;
    const flags = [...STRICT, '-g', '-O1', '-fsanitize=address,undefined', '-fno-sanitize-recover=all'];
    const args = [...flags, '-Iports/websocket', '-o', program, source, ...PARTS];
    const built = spawnSync('gcc', args, { cwd: BOARD, encoding: 'utf8' });
    expect(`${built.status} ${built.stderr}`).toBe('0 ');
    survives(spawnSync(program, ['many'], { input: sessions(COUNT, 6), encoding: 'utf8' }));
  });
});
