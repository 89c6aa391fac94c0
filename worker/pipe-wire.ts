/**
 * A wire whose bytes the page carries: for what only a window may open. Chunks are transferred, and the page says when
 * the carrier has ended and why.
 */
import type { LossCause } from '../src/links/link.ts';
import type { Ear, Wire } from '../src/links/wire.ts';

/** What the page sends beside bytes: the carrier has ended. */
export interface PipeEnd {
  readonly cause: LossCause;
  readonly what: string;
}
/** What the worker sends beside bytes: let go of the carrier. */
export const PIPE_CLOSE = 'close';

export function pipeWire(name: string, port: MessagePort): Wire {
  let ear: Ear | undefined;
  port.onmessage = ({ data }: MessageEvent<Uint8Array | PipeEnd>) => {
    if (data instanceof Uint8Array) ear?.take(data);
    else ear?.lose(data.cause, `${data.what} ${ear.progress}`);
  };
  return {
    name,
    attach(to) {
      ear = to;
    },
    send(bytes) {
      const chunk = bytes.slice(); // the sender uses its buffer again
      port.postMessage(chunk, [chunk.buffer]);
    },
    async close() {
      port.postMessage(PIPE_CLOSE);
    },
  };
}
