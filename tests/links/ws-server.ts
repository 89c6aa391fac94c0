/** WebSocket servers and sockets for tests, on free ports of this machine. */
import { once } from 'node:events';
import { createServer, type IncomingMessage } from 'node:http';
import { type AddressInfo, connect, type Socket } from 'node:net';
import { type ServerOptions, type WebSocket, WebSocketServer } from 'ws';
import { ServedController } from '../../src/links/served.ts';
import { echoController } from './echo-controller.ts';

/** A promise and what settles it. */
export function promised<T>(): { readonly promise: Promise<T>; readonly resolve: (value: T) => void } {
  let resolve!: (value: T) => void;
  const promise = new Promise<T>((settle) => {
    resolve = settle;
  });
  return { promise, resolve };
}

export interface TestServer {
  /** ws://127.0.0.1:PORT/ */ readonly address: string;
  readonly port: number;
  close(): Promise<void>;
}

/** A server that hands over every socket that connects. */
export async function socketServer(
  onSocket: (socket: WebSocket, request: IncomingMessage) => void,
  options: ServerOptions = {},
): Promise<TestServer> {
  const server = createServer();
  const sockets = new WebSocketServer({ ...options, server });
  sockets.on('connection', (socket, request) => {
    socket.on('error', () => undefined);
    onSocket(socket, request);
  });
  await new Promise<void>((ready) => server.listen(0, '127.0.0.1', ready));
  const { port } = server.address() as AddressInfo;
  return {
    address: `ws://127.0.0.1:${port}/`,
    port,
    async close() {
      for (const socket of sockets.clients) socket.terminate();
      await new Promise((done) => server.close(done));
    },
  };
}

/** Ties the echo controller to a socket, as a board that speaks bare packets. */
export function serveEcho(socket: WebSocket): void {
  const board = new ServedController(echoController(), (bytes) => socket.send(bytes.slice()), true);
  socket.on('message', (data: Buffer) => board.receiver.push(data));
}

export interface Shake {
  readonly path?: string;
  readonly headers?: Readonly<Record<string, string>>;
}

/** A plain TCP connection to a server, by which a test writes and reads the bytes of RFC 6455 itself. */
export class RawSocket {
  readonly socket: Socket;
  private bytes = Buffer.alloc(0);
  private wake: (() => void) | undefined;
  private over = false;

  constructor(socket: Socket) {
    this.socket = socket;
    socket.setNoDelay(true);
    socket.on('data', (chunk) => {
      this.bytes = Buffer.concat([this.bytes, chunk]);
      this.wake?.();
    });
    for (const event of ['close', 'error'] as const) {
      socket.on(event, () => {
        this.over = true;
        this.wake?.();
      });
    }
  }

  static async connect(port: number): Promise<RawSocket> {
    const socket = connect(port, '127.0.0.1');
    await once(socket, 'connect');
    return new RawSocket(socket);
  }

  /** Asks for a WebSocket with the key of the example in RFC 6455, 1.3; the head of the answer. */
  async shake({ path = '/', headers = {} }: Shake = {}): Promise<string> {
    const all: Record<string, string> = {
      Host: `127.0.0.1:${this.socket.remotePort}`,
      Upgrade: 'websocket',
      Connection: 'Upgrade',
      'Sec-WebSocket-Key': 'dGhlIHNhbXBsZSBub25jZQ==',
      'Sec-WebSocket-Version': '13',
      ...headers,
    };
    const lines = Object.entries(all).map(([name, value]) => `${name}: ${value}\r\n`);
    this.socket.write(`GET ${path} HTTP/1.1\r\n${lines.join('')}\r\n`);
    return this.head();
  }

  /** Reads up to the empty line after a head. */
  async head(): Promise<string> {
    await this.until(() => this.bytes.includes('\r\n\r\n'));
    const end = this.bytes.indexOf('\r\n\r\n') + 4;
    return this.read(end).then((bytes) => bytes.toString('latin1'));
  }

  async read(count: number): Promise<Buffer> {
    await this.until(() => this.bytes.length >= count);
    const got = this.bytes.subarray(0, count);
    this.bytes = this.bytes.subarray(count);
    return got;
  }

  /** Reads one unmasked frame of up to 64 KiB: opcode with FIN bit, payload. */
  async frame(): Promise<{ first: number; payload: Buffer }> {
    const [first, short] = await this.read(2);
    const length = short < 126 ? short : (await this.read(2)).readUInt16BE();
    return { first, payload: await this.read(length) };
  }

  /** Reads frames up to a close frame: its code and reason. */
  async closing(): Promise<{ code: number; reason: string }> {
    for (;;) {
      const { first, payload } = await this.frame();
      if (first === 0x88) return { code: payload.readUInt16BE(), reason: payload.subarray(2).toString() };
    }
  }

  /** Waits until the other side has ended the connection. */
  async ended(): Promise<void> {
    while (!this.over) await this.next();
  }

  /** Writes every byte on its own, each in its own turn of the loop. */
  async drip(bytes: Uint8Array): Promise<void> {
    for (const byte of bytes) {
      this.socket.write(Uint8Array.of(byte));
      await new Promise((turn) => setImmediate(turn));
    }
  }

  private async until(there: () => boolean): Promise<void> {
    while (!there()) {
      if (this.over) throw new Error(`the connection ended; left over: ${this.bytes.toString('latin1')}`);
      await this.next();
    }
  }

  private next(): Promise<void> {
    return new Promise((resolve) => {
      this.wake = resolve;
    });
  }
}
