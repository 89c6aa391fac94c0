/**
 * WebSocket in Node: as the client of a board's server, and as the server that one board connects to. Neither side ever
 * compresses: at the size of a frame it costs twenty times what it saves. `ws` switches the delay of Nagle off itself.
 */
import { createServer, type IncomingMessage, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Duplex } from 'node:stream';
import { WebSocket, WebSocketServer } from 'ws';
import { SetUpError } from './errors.ts';
import { MESSAGE_MOST, OPEN_MS, socketWire, webSocketWire } from './web-socket.ts';
import { CLOSE_BUSY } from './web-socket-codes.ts';
import type { Wire } from './wire.ts';

/** Pieces of one message; a frame needs one. */
const FRAGMENTS_MOST = 64;
/** What both ends set. */
export const SOCKET_LIMITS = Object.freeze({
  perMessageDeflate: false,
  maxPayload: MESSAGE_MOST,
  maxFragments: FRAGMENTS_MOST,
});

/** The socket of `ws` in the shape of the standard one. */
export const standard = (socket: WebSocket): globalThis.WebSocket => socket as unknown as globalThis.WebSocket;

/** Checks ws://HOST:PORT/PATH or wss://... Throws SetUpError saying what is allowed. */
export function checkWsAddress(text: string): void {
  const allowed = 'allowed is ws://HOST:PORT/PATH or wss://..., e.g. ws://localhost:5301/';
  const url = URL.canParse(text) ? new URL(text) : undefined;
  if (!url || !/^wss?:\/\/[^/]/.test(text) || url.hostname === '') throw new SetUpError(`${text}: ${allowed}`);
  if (url.hash !== '') throw new SetUpError(`${text}: a part after # never reaches a server; ${allowed}`);
  if (url.port === '0') throw new SetUpError(`${text}: nothing listens on port 0; ${allowed}`);
}

/** Connects to a server. Rejects with SetUpError when nothing can be reached there. */
export async function openWsWire(address: string): Promise<Wire> {
  checkWsAddress(address);
  return webSocketWire(address, (to) =>
    standard(new WebSocket(to, { ...SOCKET_LIMITS, handshakeTimeout: OPEN_MS, followRedirects: false })),
  );
}

/** Reads the port of ws-listen:PORT; 0 takes any free one. Throws SetUpError saying what is allowed. */
export function listenPort(text: string): number {
  const port = Number(text);
  if (/^\d{1,5}$/.test(text) && port <= 65535) return port;
  throw new SetUpError(`ws-listen:${text}: allowed is a port from 0 to 65535 (0 takes any free one)`);
}

export interface ListenOptions {
  /** Hears where it waits; default: a line on our own standard error. */ readonly onWaiting?: (
    address: string,
  ) => void;
  /** Time for a board to connect [s]. */ readonly wait_s?: number;
}

/**
 * Waits on this machine for one board to connect. A browser cannot: a page of anywhere could pose as a board. Rejects with
 * SetUpError when the port is taken or nobody comes.
 */
export async function openWsListener(place: string, options: ListenOptions = {}): Promise<Wire> {
  const { onWaiting = (address: string) => process.stderr.write(`waiting for a board at ${address}\n`), wait_s = 60 } =
    options;
  const name = `ws-listen:${place}`;
  const port = listenPort(place);
  const server = createServer((_request, response) => {
    response.writeHead(426, { 'content-type': 'text/plain' }).end('a board connects here by WebSocket\n');
  });
  const sockets = new WebSocketServer({ ...SOCKET_LIMITS, noServer: true });
  await listening(server, port, name);
  onWaiting(`ws://127.0.0.1:${(server.address() as AddressInfo).port}/`);

  let board: WebSocket | undefined;
  const close = async (): Promise<void> => {
    server.closeAllConnections();
    await new Promise<void>((done) => server.close(() => done()));
  };
  const arrival = new Promise<Wire>((resolve, reject) => {
    const timer = setTimeout(
      () => reject(new SetUpError(`${name}: no board connected within ${wait_s} s`)),
      wait_s * 1000,
    );
    server.on('upgrade', (request: IncomingMessage, stream: Duplex, head: Buffer) => {
      if (request.headers.origin !== undefined) return refuseUpgrade(stream, 403, 'a board is no web page');
      sockets.handleUpgrade(request, stream, head, (socket) => {
        socket.on('error', () => undefined);
        if (board) return socket.close(CLOSE_BUSY, 'another board is connected');
        board = socket;
        clearTimeout(timer);
        const wire = socketWire(standard(socket), name);
        resolve({
          ...wire,
          send: (bytes) => wire.send(bytes.slice()), // unmasked frames are not copied, and the sender's buffer is used again
          close: () => wire.close().then(close),
        });
      });
    });
  });
  return arrival.catch(async (error) => {
    await close();
    throw error;
  });
}

/** Answers an upgrade with a plain refusal and ends the connection. */
export function refuseUpgrade(stream: Duplex, status: number, words: string): void {
  const names: Readonly<Record<number, string>> = { 403: 'Forbidden', 404: 'Not Found', 421: 'Misdirected Request' };
  stream.on('error', () => undefined);
  stream.end(
    `HTTP/1.1 ${status} ${names[status] ?? 'Refused'}\r\nConnection: close\r\nContent-Type: text/plain; charset=utf-8\r\n` +
      `Content-Length: ${Buffer.byteLength(words)}\r\n\r\n${words}`,
  );
}

function listening(server: Server, port: number, name: string): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const why = error.code === 'EADDRINUSE' ? `port ${port} is taken by another program` : error.message;
      reject(new SetUpError(`${name}: cannot listen: ${why}`));
    });
    server.listen(port, '127.0.0.1', resolve);
  });
}
