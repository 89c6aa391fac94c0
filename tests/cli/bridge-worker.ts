/** A worker as the page has one: opens the board behind the bridge, exchanges frames, says what came of it. */
import { openSession } from '../../src/links/session.ts';
import { webSocketWire } from '../../src/links/web-socket.ts';
import { openBridgeWire } from '../../src/links/web-socket-bridge.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';

export interface Task {
  /** Address that the bridge printed. */ readonly address: string;
  readonly exchanges: number;
  /** Open this WebSocket instead, without a token. */ readonly plain?: string;
}
export interface Done {
  readonly board?: string;
  readonly answered?: number;
  readonly wrong?: number;
  readonly wall_s?: number;
  readonly again?: string;
  readonly extensions?: string;
  readonly kinds?: string;
  readonly error?: string;
}

async function work({ address, exchanges, plain }: Task): Promise<Done> {
  try {
    if (plain !== undefined) {
      await (await webSocketWire(plain)).close();
      return {};
    }
    let socket: WebSocket | undefined;
    const kinds = new Set<string>();
    const wire = await openBridgeWire(address, {
      make(to, protocols) {
        socket = new WebSocket(to, protocols);
        socket.addEventListener('message', ({ data }) => kinds.add(Object.prototype.toString.call(data)));
        return socket;
      },
    });
    const link = await openSession(wire);
    const sense = blankSense();
    const drive = blankDrive(link.hello.watch.length);
    let wrong = 0;
    const from_ms = performance.now();
    for (let tick = 1; tick <= exchanges; tick++) {
      sense.tick = tick;
      sense.ia = tick & 0x7fff;
      const result = await link.exchange(sense, drive);
      if (result !== 'ok') return { error: result.message };
      if (drive.tick !== tick || drive.dutyA !== (tick & 0x7fff)) wrong++;
    }
    const wall_s = (performance.now() - from_ms) / 1000;
    const done = {
      board: wire.board,
      answered: link.counters.answered,
      wrong,
      wall_s,
      again: wire.again,
      extensions: socket?.extensions ?? '',
      kinds: [...kinds].sort().join(' '),
    };
    await link.close();
    return done;
  } catch (error) {
    return { error: (error as Error).message };
  }
}

self.onmessage = async ({ data }: MessageEvent<Task>) => self.postMessage(await work(data));
