/** The way of blocks between worker and page: a few of them, sent away full and taken back empty. */
import type { LinkNews } from './api.ts';
import { BLOCK_BYTES, type BlockViews, blockViews } from './block.ts';

/** Blocks under way between worker and page; more would only age. */
const BLOCKS = 3;

export class BlockPost {
  /** When the last block went [ms]. */ sent_ms = 0;
  /** A block could not go because all were under way. */ owed = false;
  private readonly free: ArrayBuffer[] = [];
  private port: MessagePort | undefined;

  constructor() {
    for (let k = 0; k < BLOCKS; k++) this.free.push(new ArrayBuffer(BLOCK_BYTES));
  }

  /** Whether anybody takes blocks. */
  get open(): boolean {
    return this.port !== undefined;
  }

  /** @param onBack called when a block has come back */
  attach(port: MessagePort, onBack: () => void): void {
    this.port = port;
    port.onmessage = ({ data }: MessageEvent<ArrayBuffer>) => {
      if (data.byteLength === BLOCK_BYTES && this.free.length < BLOCKS) this.free.push(data);
      onBack();
    };
  }

  /** Sends a block if one is there; `fill` writes into it. */
  send(fill: (block: BlockViews) => void): void {
    const { port } = this;
    const buffer = port && this.free.pop();
    this.owed = buffer === undefined;
    if (!port || !buffer) return;
    fill(blockViews(buffer));
    this.sent_ms = performance.now();
    port.postMessage(buffer, [buffer]);
  }

  tell(news: LinkNews): void {
    this.port?.postMessage(news);
  }
}
