/**
 * The bytes of a WebSocket at both of our ends, written and read over plain TCP.
 *
 * Source   I. Fette, A. Melnikov, RFC 6455, The WebSocket Protocol, 2011: handshake of section 1.3; frames of section 5.7
 *          (the unmasked Hello was read in a public quotation; the other byte rows from memory, the masked ones agree with
 *          the masking rule of 5.3 applied to it here); an unmasked client frame ends the connection with 1002 (5.1).
 */
import { createHash } from 'node:crypto';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { openWsListener, openWsWire } from '../../src/links/node-ws.ts';
import type { Ear, Wire } from '../../src/links/wire.ts';
import { promised, RawSocket } from '../links/ws-server.ts';
import { hex, unhex } from '../support/hex.ts';

const ACCEPT = 's3pPLMBiTxaQ9kYGzzhZRbK+xOo=';
const HELLO_MASKED = unhex('81 85 37 fa 21 3d 7f 9f 4d 51 58');
const PING_MASKED = unhex('89 85 37 fa 21 3d 7f 9f 4d 51 58');

const opened: (() => void | Promise<void>)[] = [];
afterEach(async () => {
  for (const close of opened.splice(0).reverse()) await close();
});

interface Heard extends Ear {
  readonly messages: Uint8Array[];
  readonly losses: string[];
}

function listenTo(wire: Wire): Heard {
  const heard: Heard = {
    messages: [],
    losses: [],
    progress: 'in the test',
    take: (bytes) => heard.messages.push(bytes.slice()),
    lose: (cause, what) => heard.losses.push(`${cause}: ${what}`),
  };
  wire.attach(heard);
  return heard;
}

/** Our server with a raw client at its other end. */
async function atServer(headers: Record<string, string> = {}) {
  const address = promised<string>();
  const opening = openWsListener('0', { onWaiting: address.resolve, wait_s: 30 });
  const raw = await RawSocket.connect(Number(new URL(await address.promise).port));
  const head = await raw.shake({ headers });
  const wire = await opening;
  opened.push(() => wire.close());
  return { raw, head, wire, heard: listenTo(wire) };
}

/** Our client with a raw server at its other end; `asked` is the head of its request. */
async function atClient() {
  const arrival = promised<Socket>();
  const server = createServer(arrival.resolve);
  await new Promise<void>((ready) => server.listen(0, '127.0.0.1', ready));
  opened.push(() => void server.close());
  const opening = openWsWire(`ws://127.0.0.1:${(server.address() as AddressInfo).port}/`);
  const raw = new RawSocket(await arrival.promise);
  opened.push(() => void raw.socket.destroy());
  const asked = await raw.head();
  const key = /Sec-WebSocket-Key: (.*)\r\n/i.exec(asked)?.[1] ?? '';
  const accept = createHash('sha1').update(`${key}258EAFA5-E914-47DA-95CA-C5AB0DC85B11`).digest('base64');
  raw.socket.write(
    `HTTP/1.1 101 Switching Protocols\r\nUpgrade: websocket\r\nConnection: Upgrade\r\nSec-WebSocket-Accept: ${accept}\r\n\r\n`,
  );
  const wire = await opening;
  opened.push(() => wire.close());
  return { raw, asked, wire, heard: listenTo(wire) };
}

/** The rule of 5.3, by hand. */
const mask = (bytes: Uint8Array, key: Uint8Array): Uint8Array => bytes.map((byte, k) => byte ^ key[k % 4]);
const body = (length: number): Uint8Array => Uint8Array.from({ length }, (_, k) => (k * 7 + 1) & 0xff);

describe('RFC 6455 at our server', () => {
  it('answers the key of the example with the accept value of the example', async () => {
    const { head } = await atServer();
    expect(head).toMatch(/^HTTP\/1\.1 101 /);
    expect(head).toContain(`Sec-WebSocket-Accept: ${ACCEPT}\r\n`);
  });

  it('never agrees to compression, though the client offers it', async () => {
    const { head } = await atServer({ 'Sec-WebSocket-Extensions': 'permessage-deflate; client_max_window_bits' });
    expect(head).toMatch(/^HTTP\/1\.1 101 /);
    expect(head).not.toMatch(/Sec-WebSocket-Extensions/i);
  });

  it('reads the masked Hello byte by byte and refuses it as text, in words', async () => {
    expect(hex(mask(HELLO_MASKED.subarray(6), HELLO_MASKED.subarray(2, 6)))).toBe(hex(Buffer.from('Hello')));
    const { raw, heard } = await atServer();
    await raw.drip(HELLO_MASKED);
    expect(await raw.closing()).toEqual({
      code: 4003,
      reason: "text came where frames are binary messages: 'Hello'",
    });
    expect(heard.losses).toEqual(["garbage: text came where frames are binary messages: 'Hello', in the test"]);
  });

  it('answers the masked ping with a pong of the same body', async () => {
    const { raw } = await atServer();
    await raw.drip(PING_MASKED);
    expect(hex(await raw.read(7))).toBe('8a 05 48 65 6c 6c 6f');
  });

  it.each([
    [256, '82 fe 01 00'],
    [65_536, '82 ff 00 00 00 00 00 01 00 00'],
  ])('takes a masked binary message of %i bytes', async (length, head) => {
    const { raw, heard } = await atServer();
    const key = unhex('37 fa 21 3d');
    await raw.drip(Uint8Array.of(...unhex(head), ...key));
    raw.socket.write(mask(body(length), key));
    await expect.poll(() => heard.messages.length).toBe(1);
    expect(hex(heard.messages[0])).toBe(hex(body(length)));
  });

  it('ends the connection on a client frame without a mask, with 1002', async () => {
    const { raw, heard } = await atServer();
    await raw.drip(unhex('82 01 00'));
    expect((await raw.closing()).code).toBe(1002);
    await expect.poll(() => heard.losses.length).toBe(1);
    expect(heard.losses[0]).toContain('MASK must be set');
    expect(heard.messages).toEqual([]);
  });

  it('refuses one byte more than 64 KiB by its header alone, with 1009', async () => {
    const { raw, heard } = await atServer();
    await raw.drip(unhex('82 ff 00 00 00 00 00 01 00 01'));
    expect((await raw.closing()).code).toBe(1009);
    await expect.poll(() => heard.losses.length).toBe(1);
    expect(heard.messages).toEqual([]);
  });

  it('sends frames unmasked and whole', async () => {
    const { raw, wire } = await atServer();
    wire.send(body(256));
    expect(hex(await raw.read(4))).toBe('82 7e 01 00');
    expect(hex(await raw.read(256))).toBe(hex(body(256)));
  });
});

describe('RFC 6455 at our client', () => {
  it('offers no compression', async () => {
    const { asked } = await atClient();
    expect(asked).toMatch(/Sec-WebSocket-Version: 13\r\n/i);
    expect(asked).not.toMatch(/Sec-WebSocket-Extensions/i);
  });

  it('puts the fragments of the example together, byte by byte, and refuses the text', async () => {
    const { raw, heard } = await atClient();
    await raw.drip(unhex('01 03 48 65 6c 80 02 6c 6f'));
    await expect.poll(() => heard.losses.length).toBe(1);
    expect(heard.losses[0]).toContain("text came where frames are binary messages: 'Hello'");
  });

  it('puts binary fragments together to one message', async () => {
    const { raw, heard } = await atClient();
    await raw.drip(unhex('02 03 48 65 6c 80 02 6c 6f'));
    await expect.poll(() => heard.messages.length).toBe(1);
    expect(hex(heard.messages[0])).toBe('48 65 6c 6c 6f');
    expect(heard.losses).toEqual([]);
  });

  it.each([
    [256, '82 7e 01 00'],
    [65_536, '82 7f 00 00 00 00 00 01 00 00'],
  ])('takes a binary message of %i bytes', async (length, head) => {
    const { raw, heard } = await atClient();
    await raw.drip(unhex(head));
    raw.socket.write(body(length));
    await expect.poll(() => heard.messages.length).toBe(1);
    expect(hex(heard.messages[0])).toBe(hex(body(length)));
  });

  it('masks what it sends, with a key of its own each time', async () => {
    const { raw, wire } = await atClient();
    const keys: string[] = [];
    for (let k = 0; k < 3; k++) {
      wire.send(body(5));
      const bytes = await raw.read(11);
      expect(hex(bytes.subarray(0, 2))).toBe('82 85');
      expect(hex(mask(bytes.subarray(6), bytes.subarray(2, 6)))).toBe(hex(body(5)));
      keys.push(hex(bytes.subarray(2, 6)));
    }
    expect(new Set(keys).size).toBe(3);
  });

  it('is lost in words on a message of more than 64 KiB', async () => {
    const { raw, heard } = await atClient();
    await raw.drip(unhex('82 7f 00 00 00 00 00 01 00 01'));
    await expect.poll(() => heard.losses.length).toBe(1);
    expect(heard.losses[0]).toMatch(/Max payload size exceeded/);
    expect(heard.messages).toEqual([]);
  });
});
