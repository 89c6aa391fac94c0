/**
 * What the protocol costs: exchanges a second in lock-step beside a bare echo of the same number of bytes each way, through
 * the same socket, turn by turn in one run.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { connect, type Socket } from 'node:net';
import { fileURLToPath } from 'node:url';
import { openSession } from '../../src/links/session.ts';
import type { Ear } from '../../src/links/wire.ts';
import { blankDrive, blankSense, encodeDrive, encodeSense } from '../../src/protocol/codec.ts';
import { DRIVE, SENSE } from '../../src/protocol/frames.ts';
import { PAYLOAD_AT } from '../../src/protocol/packet.ts';
import { StreamSender } from '../../src/protocol/stream.ts';

/** First byte of a block that is only to be sent back; no frame on a stream begins with it. */
export const ECHO = 0xee;
const SENDER = new StreamSender(256);
/** Bytes of a Sense frame there and of a Drive frame back. */
export const ECHO_BYTES = Object.freeze({
  there: SENDER.wrap(SENSE.id, encodeSense(blankSense(), SENDER.packet, PAYLOAD_AT)).length,
  back: SENDER.wrap(DRIVE.id, encodeDrive(blankDrive(1), SENDER.packet, PAYLOAD_AT)).length,
});

const BATCHES = 12;
const WARM_UP = 3;
const EXCHANGES = 2000;

export interface LinkCost {
  /** Exchanges a second, median of the batches. */ readonly exchanges_Hz: number;
  readonly echoes_Hz: number;
  /** Median over the pairs of batches. */ readonly ratio: number;
}

const median = (list: readonly number[]): number => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

export async function linkCost(): Promise<LinkCost> {
  const child: ChildProcess = spawn(
    process.execPath,
    ['--import', 'tsx', fileURLToPath(new URL('link-server.ts', import.meta.url))],
    {
      stdio: ['ignore', 'pipe', 'inherit'],
    },
  );
  const [line] = await once(child.stdout!, 'data');
  const socket = connect(Number(String(line)), '127.0.0.1');
  await once(socket, 'connect');
  socket.setNoDelay(true);
  try {
    return await compare(socket);
  } finally {
    socket.destroy();
    child.kill();
  }
}

async function compare(socket: Socket): Promise<LinkCost> {
  let ear: Ear | undefined;
  let got = 0;
  let echoed: (() => void) | undefined;
  socket.on('data', (chunk) => {
    if (echoed === undefined) {
      ear?.take(chunk);
      return;
    }
    got += chunk.length;
    if (got < ECHO_BYTES.back) return;
    got = 0;
    echoed();
  });
  const link = await openSession(
    {
      name: 'bench',
      send: (bytes) => socket.write(bytes),
      attach(to) {
        ear = to;
      },
      async close() {},
    },
    { beat_s: 0 },
  );

  const sense = blankSense();
  const drive = blankDrive(link.hello.watch.length);
  async function exchanges(): Promise<void> {
    for (let k = 0; k < EXCHANGES; k++) {
      sense.tick = (sense.tick + 1) >>> 0;
      if ((await link.exchange(sense, drive)) !== 'ok') throw new Error('the link of the bench was lost');
    }
  }
  const block = new Uint8Array(ECHO_BYTES.there).fill(ECHO);
  async function echoes(): Promise<void> {
    for (let k = 0; k < EXCHANGES; k++) {
      await new Promise<void>((resolve) => {
        echoed = resolve;
        socket.write(block);
      });
    }
    echoed = undefined;
  }

  const rates: { exchanges: number; echoes: number }[] = [];
  for (let batch = 0; batch < WARM_UP + BATCHES; batch++) {
    // In turn, so that neither always comes second on a machine that slows down.
    const first = batch % 2 === 0;
    const a = await timed(first ? exchanges : echoes);
    const b = await timed(first ? echoes : exchanges);
    if (batch >= WARM_UP) rates.push(first ? { exchanges: a, echoes: b } : { exchanges: b, echoes: a });
  }
  await link.close();
  return {
    exchanges_Hz: median(rates.map((each) => each.exchanges)),
    echoes_Hz: median(rates.map((each) => each.echoes)),
    ratio: median(rates.map((each) => each.exchanges / each.echoes)),
  };
}

async function timed(work: () => Promise<void>): Promise<number> {
  const begin_ms = performance.now();
  await work();
  return EXCHANGES / ((performance.now() - begin_ms) / 1000);
}
