/** Memory of the page and of its workers after the garbage is collected, over the browser's own debugging protocol. */
import type { CDPSession, Page } from 'playwright-core';

/** What one side holds [bytes]. */
export interface Held {
  /** Objects of the script. */ readonly used: number;
  /** Behind its buffers. */ readonly buffers: number;
}

interface Usage {
  readonly usedSize: number;
  readonly backingStorageSize?: number;
}
interface Attached {
  readonly sessionId: string;
  readonly targetInfo: { readonly type: string; readonly url: string };
}

const LOOKS = 4;

const heldOf = ({ usedSize, backingStorageSize = 0 }: Usage): Held => ({ used: usedSize, buffers: backingStorageSize });
export const totalOf = ({ used, buffers }: Held): number => used + buffers;

export class Heaps {
  private readonly cdp: CDPSession;
  /** Workers that live, by session. */ private readonly workers = new Map<string, string>();
  private readonly waiting = new Map<number, (result: unknown) => void>();
  private calls = 0;

  private constructor(cdp: CDPSession) {
    this.cdp = cdp;
    // Workers answer through the page: a message in a message.
    cdp.on('Target.attachedToTarget', ({ sessionId, targetInfo }: Attached) => {
      if (targetInfo.type === 'worker') this.workers.set(sessionId, targetInfo.url);
    });
    cdp.on('Target.detachedFromTarget', ({ sessionId }: { sessionId: string }) => {
      this.workers.delete(sessionId);
    });
    cdp.on('Target.receivedMessageFromTarget', ({ message }: { message: string }) => {
      const { id, result } = JSON.parse(message) as { id?: number; result?: unknown };
      if (id !== undefined) this.waiting.get(id)?.(result);
    });
  }

  static async of(page: Page): Promise<Heaps> {
    const cdp = await page.context().newCDPSession(page);
    const heaps = new Heaps(cdp);
    await cdp.send('Target.setAutoAttach', { autoAttach: true, waitForDebuggerOnStart: false, flatten: false });
    await cdp.send('Performance.enable');
    return heaps;
  }

  /** Workers of the page that live. */
  get count(): number {
    return this.workers.size;
  }

  /** The least of a few looks: what was made since the garbage was collected is none of what is kept. */
  async page(): Promise<Held> {
    let least: Held | undefined;
    for (let look = 0; look < LOOKS; look++) {
      await this.cdp.send('HeapProfiler.collectGarbage');
      const held = heldOf(await this.cdp.send('Runtime.getHeapUsage'));
      if (!least || totalOf(held) < totalOf(least)) least = held;
    }
    return least as Held;
  }

  /** Of the worker whose script has this in its name. Throws when there is none. */
  async worker(script: string): Promise<Held> {
    const found = [...this.workers].find(([, url]) => url.includes(script));
    if (!found)
      throw new Error(`no worker '${script}' lives; there are ${[...this.workers.values()].join(', ') || 'none'}`);
    await this.ask(found[0], 'HeapProfiler.collectGarbage');
    return heldOf((await this.ask(found[0], 'Runtime.getHeapUsage')) as Usage);
  }

  /** Nodes and listeners of the page that are kept. */
  async counts(): Promise<{ readonly nodes: number; readonly listeners: number }> {
    const { metrics } = await this.cdp.send('Performance.getMetrics');
    const of = (name: string) => metrics.find((metric) => metric.name === name)?.value ?? Number.NaN;
    return { nodes: of('Nodes'), listeners: of('JSEventListeners') };
  }

  private ask(sessionId: string, method: string): Promise<unknown> {
    const id = ++this.calls;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, (result) => {
        this.waiting.delete(id);
        resolve(result);
      });
      const message = JSON.stringify({ id, method });
      this.cdp.send('Target.sendMessageToTarget', { sessionId, message }).catch(reject);
    });
  }
}
