/** A bridge in this process with a board at its other end, and pages that are plain Node sockets. */

import { mkdirSync, writeFileSync } from 'node:fs';
import { createServer as createTcp, type Socket, type Server as TcpServer } from 'node:net';
import { join } from 'node:path';
import { WebSocket } from 'ws';
import { Bridge } from '../../src/cli/node-bridge.ts';
import { linkPlace } from '../../src/links/node-kinds.ts';
import { SOCKET_LIMITS, standard } from '../../src/links/node-ws.ts';
import { ServedController } from '../../src/links/served.ts';
import { type BridgeOptions, type BridgeWire, openBridgeWire } from '../../src/links/web-socket-bridge.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { echoController } from '../links/echo-controller.ts';
import { folder } from './sim.ts';

/** Header of a page that the bridge itself has served. */
export const originOf = (address: string): string => new URL(address).origin;

/** A folder with a page in it. */
export function pageFolder(): string {
  const dir = join(folder(), 'page');
  mkdirSync(dir, { recursive: true });
  writeFileSync(join(dir, 'index.html'), '<!doctype html><title>bench</title>');
  return dir;
}

/** A board behind TCP: frames on a stream, as on a serial line. Notes every byte that it gets. */
export class TcpBoard {
  readonly got: Buffer[] = [];
  readonly sockets = new Set<Socket>();
  /** What it does with the bytes; default: as the echo controller. */ hello: Partial<Hello> = {};
  private readonly server: TcpServer;
  private port = 0;

  constructor() {
    this.server = createTcp((socket) => {
      this.sockets.add(socket);
      const controller = echoController();
      const hello = { ...controller.hello, ...this.hello };
      const board = new ServedController({ ...controller, hello }, (bytes) => socket.write(bytes.slice()));
      socket.on('data', (chunk) => {
        this.got.push(chunk);
        board.receiver.push(chunk);
      });
      socket.on('error', () => undefined);
      socket.on('close', () => this.sockets.delete(socket));
    });
  }

  async listen(): Promise<this> {
    await new Promise<void>((ready) => this.server.listen(this.port, '127.0.0.1', ready));
    this.port = (this.server.address() as { port: number }).port;
    return this;
  }

  get link(): string {
    return `tcp:127.0.0.1:${this.port}`;
  }

  /** As if its cable were pulled; `listen` puts it back. */
  async unplug(): Promise<void> {
    const down = new Promise((done) => this.server.close(done));
    for (const socket of this.sockets) socket.destroy();
    await down;
  }

  async close(): Promise<void> {
    if (this.server.listening) await this.unplug();
  }
}

export interface RunningBridge {
  readonly bridge: Bridge;
  readonly lines: string[];
  /** Waits for a line. */ shows(text: string | RegExp): Promise<string>;
  close(): Promise<void>;
}

export async function runBridge(link: string, { yes = true, page = pageFolder() } = {}): Promise<RunningBridge> {
  const lines: string[] = [];
  const bridge = new Bridge(linkPlace(link)!, {
    folder: page,
    port: 0,
    yes,
    say: (line) => lines.push(line),
    hello_s: 20,
  });
  await bridge.open();
  return {
    bridge,
    lines,
    async shows(text) {
      const fits = (line: string): boolean => (typeof text === 'string' ? line.includes(text) : text.test(line));
      for (let k = 0; k < 1500; k++) {
        const found = lines.find(fits);
        if (found !== undefined) return found;
        await new Promise((later) => setTimeout(later, 10));
      }
      throw new Error(`no line with ${text}; said was\n${lines.join('\n')}`);
    },
    close: () => bridge.close(),
  };
}

/** Opens the board as the page does, from Node, with the Origin that a browser would send. */
export function openAsPage(address: string, options: Partial<BridgeOptions> = {}): Promise<BridgeWire> {
  return openBridgeWire(address, {
    make: (to, protocols) => standard(new WebSocket(to, protocols, { ...SOCKET_LIMITS, origin: originOf(address) })),
    ...options,
  });
}
