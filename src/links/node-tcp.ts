/** A controller behind a TCP port, on this machine or another. Runs in Node. */
import { connect, type Socket } from 'node:net';
import { SetUpError } from './errors.ts';
import type { LinkTimes, LockStepLink } from './link.ts';
import { openSession } from './session.ts';
import type { Wire } from './wire.ts';

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
    throw new SetUpError(`allowed is HOST:PORT with a port from 1 to 65535, e.g. tcp:localhost:5301`);
  }
  return { host: match[1] ?? match[2], port };
}

/** Connects, greets and waits for Hello; rejects as openTcpWire does, or with LinkLostError when no controller answers. */
export async function openTcpLink(place: string, times: Partial<LinkTimes> = {}): Promise<LockStepLink> {
  return openSession(await openTcpWire(place), times);
}

/** Connects. Rejects with SetUpError when nothing can be reached there. */
export async function openTcpWire(place: string): Promise<Wire> {
  const { host, port } = parseTcpPlace(place);
  const name = `tcp:${place}`;
  const socket = await reach(host, port, name);
  socket.setNoDelay(true); // a frame must not wait for the next one to share its packet
  return {
    name,
    send: (bytes) => socket.write(bytes),
    attach(ear) {
      socket.on('data', (chunk) => ear.take(chunk));
      socket.on('error', (error) => ear.lose('closed', `the connection broke ${ear.progress}: ${error.message}`));
      socket.on('close', () => ear.lose('closed', `the other side closed the connection ${ear.progress}`));
    },
    async close() {
      socket.end();
      socket.destroySoon();
    },
  };
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
