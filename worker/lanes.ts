/** The workers of a campaign in the page, one run each at a time. One core stays with the bench on show. */
import { type Remote, wrap } from 'comlink';
import type { PlayedIn } from '../src/campaign/conduct.ts';
import type { playPoint } from './play-point.ts';

interface Lane {
  readonly worker: Worker;
  readonly play: Remote<typeof playPoint>;
}

export class Lanes {
  readonly count: number;
  private readonly idle: Lane[] = [];
  private readonly all: Lane[] = [];
  private readonly drops = new Set<(why: Error) => void>();
  private closed = false;

  /** @param most no more than there are points */
  constructor(most: number) {
    this.count = Math.max(1, Math.min(most, (navigator.hardwareConcurrency || 2) - 1));
  }

  /** Rejects when the run is dropped, or on a defect. */
  async play(text: string, file: string): Promise<PlayedIn> {
    if (this.closed) throw new Error(DROPPED);
    const lane = this.idle.pop() ?? this.another();
    let drop: (why: Error) => void = () => {};
    const dropped = new Promise<never>((_, reject) => {
      drop = reject;
    });
    this.drops.add(drop);
    lane.worker.onerror = (e) => drop(new Error(e.message || 'a worker could not be loaded'));
    try {
      return await Promise.race([lane.play(text, file), dropped]);
    } finally {
      this.drops.delete(drop);
      this.idle.push(lane);
    }
  }

  /** Ends all workers; runs that are out are dropped. */
  close(): void {
    this.closed = true;
    for (const { worker } of this.all.splice(0)) worker.terminate();
    for (const drop of [...this.drops]) drop(new Error(DROPPED));
    this.idle.length = 0;
  }

  private another(): Lane {
    const worker = new Worker(new URL('./point.worker.ts', import.meta.url), { type: 'module' });
    const lane = { worker, play: wrap<typeof playPoint>(worker) };
    this.all.push(lane);
    return lane;
  }
}

const DROPPED = 'the run was dropped';
