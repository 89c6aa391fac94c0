/** A controller behind a TCP port, on this machine or another. Runs in Node. */
import { connect, type Socket } from 'node:net';
import { SetUpError } from './errors.ts';
import type { LinkTimes, LockStepLink } from './link.ts';
import { Session } from './session.ts';

export interface TcpPlace {
  readonly host: string;
  readonly port: number;
}

/** Time for a connection to come about [ms]. */
const CONNECT_MS = 5000;

/** Reads HOST:PORT or [IPV6]:PORT. Throws SetUpError saying what is allowed. */
export function parseTcpPlace(text: string): TcpPlace {
  const match = /^(?:\[([0-9a-fA-F:.]+)\]|([^:[\]\s]+)):(\d{1,5})$/.exec(text);
  const port = Number(match?.[3]);
  if (!match || port < 1 || port > 65535) {
    throw new SetUpError(`tcp:${text}: allowed is HOST:PORT with a port from 1 to 65535, e.g. tcp:localhost:5301`);
  }
  return { host: match[1] ?? match[2], port };
}

/**
 * Connects, greets and waits for Hello. Rejects with SetUpError when nothing can be reached there, with LinkLostError
 * when something answers that is no controller.
 */
export async function openTcpLink(place: string, times: Partial<LinkTimes> = {}): Promise<LockStepLink> {
  const { host, port } = parseTcpPlace(place);
  const name = `tcp:${place}`;
  const socket = await reach(host, port, name);
  socket.setNoDelay(true); // a frame must not wait for the next one to share its packet
  const session = new Session({ name, send: (bytes) => socket.write(bytes) }, times);
  socket.on('data', session.take);
  socket.on('error', (error) => session.lose('closed', `the connection broke ${session.progress}: ${error.message}`));
  socket.on('close', () => session.lose('closed', `the other side closed the connection ${session.progress}`));

  async function close(): Promise<void> {
    session.end();
    socket.destroy();
  }

  try {
    const hello = await session.open();
    return { hello, counters: session.counters, exchange: (sense, drive) => session.exchange(sense, drive), close };
  } catch (error) {
    await close();
    throw error;
  }
}

function reach(host: string, port: number, name: string): Promise<Socket> {
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port });
    const refuse = (why: string): void => {
      socket.destroy();
      reject(new SetUpError(`${name}: cannot connect: ${why}. Is the controller listening there?`));
    };
    socket.setTimeout(CONNECT_MS, () => refuse(`no connection within ${CONNECT_MS / 1000} s`));
    socket.once('error', (error) => refuse(error.message || (error as NodeJS.ErrnoException).code || 'unknown error'));
    socket.once('connect', () => {
      socket.setTimeout(0);
      socket.removeAllListeners();
      resolve(socket);
    });
  });
}
