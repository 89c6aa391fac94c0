/**
 * A port that the window holds and the worker uses, for browsers that hand out no ports in a worker. The streams of the port
 * are transferred, so no byte passes through code of the window; after a line error the window sends the next stream.
 */
import type { WebPort } from './web-serial.ts';
import { pause } from './within.ts';

/** How often a port is closed again whose streams the other end has not let go yet, and the time between [ms]. */
const CLOSE_TRIES = 20;
const CLOSE_AGAIN_MS = 20;

/** What is used of a MessagePort. */
export interface Channel {
  postMessage(message: unknown, transfer?: Transferable[]): void;
  onmessage: ((event: MessageEvent) => void) | null;
}

type Call = 'open' | 'renew' | 'setSignals' | 'close';
interface Request {
  readonly id: number;
  readonly call: Call;
  readonly options?: object;
}
interface Reply {
  readonly id: number;
  /** Streams that are new. */ readonly readable?: ReadableStream<Uint8Array> | undefined;
  readonly writable?: WritableStream<Uint8Array> | undefined;
  readonly failure?: { readonly name: string; readonly message: string };
}

/** Serves a port of this thread to the other end of `channel`, until that closes it. */
export function lendPort(port: WebPort, channel: Channel): void {
  /** A stream that was transferred stays locked until both ends are done with it; only a new one can be sent. */
  const sendable = <S extends { locked: boolean }>(stream: S | null): S | undefined =>
    stream && !stream.locked ? stream : undefined;

  async function serve({ id, call, options }: Request): Promise<void> {
    if (call === 'open') await port.open(options as { baudRate: number; bufferSize: number });
    if (call === 'setSignals') await port.setSignals?.(options as object);
    if (call === 'close') await closeSoon(port);
    const streams = call === 'open' || call === 'renew';
    const readable = streams ? sendable(port.readable) : undefined;
    const writable = streams ? sendable(port.writable) : undefined;
    const transfer = [readable, writable].filter((stream) => stream !== undefined);
    channel.postMessage({ id, readable, writable }, transfer as Transferable[]);
  }

  channel.onmessage = ({ data }: MessageEvent<Request>) => {
    serve(data).catch(({ name, message }: Error) => channel.postMessage({ id: data.id, failure: { name, message } }));
  };
}

/** The streams were cancelled at the other end, which takes a moment to arrive; a port does not close before. */
async function closeSoon(port: WebPort): Promise<void> {
  for (let k = 0; ; k++) {
    try {
      return await port.close();
    } catch (error) {
      if (k >= CLOSE_TRIES) throw error;
      await pause(CLOSE_AGAIN_MS);
    }
  }
}

/** A port whose other end is lent by `lendPort`. */
export function borrowPort(channel: Channel): WebPort {
  const waiting = new Map<number, (reply: Reply) => void>();
  let calls = 0;
  let readable: ReadableStream<Uint8Array> | null = null;
  let writable: WritableStream<Uint8Array> | null = null;

  async function ask(call: Call, options?: object): Promise<Reply> {
    const id = ++calls;
    const reply = await new Promise<Reply>((resolve) => {
      waiting.set(id, resolve);
      channel.postMessage({ id, call, ...(options && { options }) });
    });
    waiting.delete(id);
    if (reply.failure) throw new DOMException(reply.failure.message, reply.failure.name);
    return reply;
  }

  channel.onmessage = ({ data }: MessageEvent<Reply>) => waiting.get(data.id)?.(data);
  return {
    get readable() {
      return readable;
    },
    get writable() {
      return writable;
    },
    async open(options) {
      const reply = await ask('open', options);
      readable = reply.readable ?? null;
      writable = reply.writable ?? null;
    },
    setSignals: async (signals) => void (await ask('setSignals', signals)),
    async renewed() {
      const reply = await ask('renew');
      readable = reply.readable ?? null;
      writable = reply.writable ?? writable;
    },
    close: async () => void (await ask('close')),
  };
}
