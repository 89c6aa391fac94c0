/**
 * A link over a WebSocket: one binary message is one packet. Runs wherever there is the standard interface (page, worker);
 * in Node the client of the `ws` package has the same shape (node-ws.ts).
 *
 * Nothing here paces by bufferedAmount: runtimes disagree on what it counts. The credits of the coupling do; the amount
 * only raises an alarm that is counted. A socket speaks before anybody listens, so what comes early is kept for the ear.
 */
import { SetUpError } from './errors.ts';
import { shown } from './shown.ts';
import { CLOSE_TEXT_CAME, CLOSE_TOO_LONG, closeReason, closeText } from './web-socket-codes.ts';
import type { Ear, Wire } from './wire.ts';
import { within } from './within.ts';

/** Longest message on a link [bytes]; no frame comes near it. */
export const MESSAGE_MOST = 64 * 1024;
/** Time for a connection to come about [ms]. */
export const OPEN_MS = 5000;
/** Messages kept until somebody listens; a board says a Hello and perhaps some notes. */
const EARLY_MOST = 16;
/** Time for the farewell of the other side [ms]. */
const LEAVE_MS = 300;
const OPEN = 1;

export interface SocketCounts {
  /** Text messages; a link has none. */ text: number;
  /** Messages longer than a link carries. */ tooLong: number;
  /** Sends that found more than one longest message still waiting in the socket. */ alarms: number;
}

export interface SocketWire extends Wire {
  readonly counts: Readonly<SocketCounts>;
}

/** Makes the socket; it connects by itself. May throw as `new WebSocket` does. */
export type MakeSocket = (address: string) => WebSocket;

/** What goes on beside the frames. */
export interface Aside {
  /** Takes text messages; without it one ends the link. */ onText?(text: string): void;
  /** Hears the end in words, once. */ onEnd?(words: string, code: number): void;
}

/** Connects. Rejects with SetUpError when nothing can be reached there; says so when the page itself is the reason. */
export async function webSocketWire(
  address: string,
  make: MakeSocket = (to) => new WebSocket(to),
  aside: Aside = {},
): Promise<SocketWire> {
  let socket: WebSocket;
  try {
    socket = make(address);
  } catch (error) {
    throw new SetUpError(`${address}: cannot connect: ${(error as Error).message}${pageAdvice(address)}`);
  }
  const wire = socketWire(socket, address, aside);
  await opening(socket, address);
  return wire;
}

/** The wire of a socket that is open, or about to be. Takes over its handlers. */
export function socketWire(socket: WebSocket, name: string, aside: Aside = {}): SocketWire {
  socket.binaryType = 'arraybuffer'; // before the first message, else it comes as a Blob
  const counts: SocketCounts = { text: 0, tooLong: 0, alarms: 0 };
  const early: Uint8Array[] = [];
  let ear: Ear | undefined;
  let end: { readonly cause: 'closed' | 'garbage'; readonly words: string } | undefined;
  let failure = ''; // only Node says what failed
  const ended = new Promise<void>((resolve) => socket.addEventListener('close', () => resolve(), { once: true }));

  function lose(cause: 'closed' | 'garbage', words: string, code: number): void {
    if (end) return;
    end = { cause, words };
    ear?.lose(cause, `${words}, ${ear.progress}`);
    aside.onEnd?.(words, code);
  }
  function reject(code: number, words: string): void {
    lose('garbage', words, code);
    socket.close(code, closeReason(words));
  }

  socket.onmessage = ({ data }: MessageEvent<string | ArrayBuffer>) => {
    if (typeof data === 'string') {
      counts.text++;
      if (aside.onText) aside.onText(data);
      else reject(CLOSE_TEXT_CAME, `text came where frames are binary messages: '${shown(data.slice(0, 40))}'`);
    } else if (data.byteLength > MESSAGE_MOST) {
      counts.tooLong++;
      reject(CLOSE_TOO_LONG, `a message of ${data.byteLength} bytes came; a link carries at most ${MESSAGE_MOST}`);
    } else if (ear) {
      ear.take(new Uint8Array(data));
    } else if (early.length < EARLY_MOST) {
      early.push(new Uint8Array(data));
    }
  };
  socket.onerror = (event) => {
    failure = shown((event as Partial<ErrorEvent>).message ?? '');
  };
  socket.onclose = ({ code, reason }: CloseEvent) => lose('closed', closeText(code, reason || failure), code);

  return {
    name,
    messages: true,
    counts,
    send(bytes) {
      if (socket.readyState !== OPEN) return;
      if (socket.bufferedAmount > MESSAGE_MOST) counts.alarms++;
      socket.send(bytes as Uint8Array<ArrayBuffer>);
    },
    attach(to) {
      ear = to;
      for (const bytes of early.splice(0)) to.take(bytes);
      if (end) to.lose(end.cause, `${end.words}, ${to.progress}`);
    },
    async close() {
      end ??= { cause: 'closed', words: 'this side closed the connection' };
      if (socket.readyState <= OPEN) socket.close(1000);
      await within(ended, LEAVE_MS);
      (socket as { terminate?(): void }).terminate?.();
    },
  };
}

function opening(socket: WebSocket, address: string): Promise<void> {
  return new Promise((resolve, reject) => {
    let why = ''; // a page is never told; Node says it
    const refuse = (words: string): void => {
      clearTimeout(timer);
      reject(new SetUpError(`${address}: cannot connect: ${words}${pageAdvice(address)}`));
    };
    const timer = setTimeout(() => {
      refuse(`no connection within ${OPEN_MS / 1000} s`);
      socket.close();
    }, OPEN_MS);
    socket.addEventListener('error', (event) => {
      why = (event as Partial<ErrorEvent>).message ?? '';
    });
    socket.addEventListener('close', () => refuse(why === '' ? 'nobody listens there, or it was refused' : why));
    socket.addEventListener('open', () => {
      clearTimeout(timer);
      resolve();
    });
  });
}

/** Origin of the page or worker that runs this, '' in Node. */
const ownOrigin = (): string => (globalThis as { location?: { origin?: string } }).location?.origin ?? '';

/**
 * What to do about a page from the web: browsers keep it from this machine, with a question at best and without a word in
 * a frame.
 */
export function pageAdvice(address: string, origin = ownOrigin()): string {
  const host = /^ws:\/\/(\[[^\]]*\]|[^/:]*)/.exec(address)?.[1] ?? '';
  const local = /^(localhost|.*\.localhost|127(\.\d+){3}|\[::1\])$/i.test(host);
  if (!origin.startsWith('https:') || host === '') return '';
  const what = local ? 'a device or program on this machine' : 'an address without encryption (ws:)';
  const instead = "open the page that the bridge serves instead: 'npm run sim -- bridge LINK' prints its address";
  return `. This page comes from ${origin}, and a browser may keep a page from https from ${what}, often without a question; ${instead}`;
}
