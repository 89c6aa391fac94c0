/** A board behind a WebSocket for the page: a built-in controller that sees nothing but frames. */
import type { WebSocket } from 'ws';
import { ServedController } from '../../src/links/served.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { encodeNote } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { NOTE, NOTE_WARNING } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';
import { MessageSender } from '../../src/protocol/message.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { builtInFor } from '../../src/runner/built-in.ts';
import { boardFor } from '../../src/sensing/board.ts';
import { socketServer, type TestServer } from '../links/ws-server.ts';

/** Processor time that the board claims for each tick, in counts of Drive.busy (100 ns): 12.5 µs of 50. */
const BUSY_COUNTS = 125;
const LONGEST_FRAME = 256;

export interface SomeBoard {
  /** What it says otherwise than the six-step controller does. */ readonly hello?: Partial<Hello>;
  /** Wall time before each answer [ms]; changed while it runs. */ slow_ms?: number;
  /** Says it once a page is there. */ readonly note?: string;
}

export interface ServedBoard extends TestServer {
  /** Cuts the connections without a farewell. */
  cut(): void;
  /** Pages that are connected now. */ readonly pages: number;
}

/** Serves a board on a free port. */
export async function serveBoard(board: SomeBoard = {}): Promise<ServedBoard> {
  const sockets = new Set<WebSocket>();
  const server = await socketServer((socket) => {
    sockets.add(socket);
    socket.on('close', () => sockets.delete(socket));
    answer(socket, board);
  });
  return {
    ...server,
    cut() {
      for (const socket of sockets) socket.terminate();
    },
    get pages() {
      return sockets.size;
    },
  };
}

function answer(socket: WebSocket, board: SomeBoard): void {
  const inner = builtInFor('hall-six-step', BENCH_18, boardFor(BENCH_18));
  const controller: Controller = {
    hello: { ...inner.hello, board: 'test-board', uid: 'number-1', firmware: 'build-a', ...board.hello },
    tick(sense, drive) {
      inner.tick(sense, drive);
      drive.busy = BUSY_COUNTS;
    },
  };
  const served = new ServedController(controller, (bytes) => socket.send(bytes.slice()), true);
  socket.on('message', (data: Buffer) => {
    if (!board.slow_ms) served.receiver.push(data);
    else setTimeout(() => served.receiver.push(data), board.slow_ms);
  });
  if (board.note === undefined) return;
  const sender = new MessageSender(LONGEST_FRAME);
  const length = encodeNote({ level: NOTE_WARNING, text: board.note }, sender.packet, PAYLOAD_AT);
  socket.send(sender.wrap(NOTE.id, length).slice());
}
