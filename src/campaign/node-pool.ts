/**
 * Workers that play runs, one on each core. A worker is a thread of its own with its own heap: it runs TypeScript as the
 * process that starts it does, through the loader that is registered in it first.
 */
import { Worker } from 'node:worker_threads';
import type { PlayedIn } from './conduct.ts';

export type Answer = { readonly id: number } & (PlayedIn | { readonly failed: string });

interface Lane {
  readonly worker: Worker;
  waiting: { done: (played: PlayedIn) => void; failed: (error: Error) => void } | undefined;
}

/** Code that a worker begins with: threads do not inherit a loader that is registered from the command line. */
const BEGIN = `const { loader, program } = require('node:worker_threads').workerData;
import(loader).then((tsx) => { tsx.register(); return import(program); });`;

export class Pool {
  private readonly lanes: Lane[] = [];
  private readonly idle: Lane[] = [];
  private closing = false;
  private id = 0;

  /** @param program module that answers messages { id, text } with Answer  @param setting what all workers are told */
  constructor(size: number, program: URL, setting: object) {
    const loader = import.meta.resolve('tsx/esm/api');
    for (let k = 0; k < size; k++) {
      const workerData = { loader, program: program.href, setting };
      const lane: Lane = { worker: new Worker(BEGIN, { eval: true, workerData }), waiting: undefined };
      lane.worker.on('message', (answer: Answer) => this.answered(lane, answer));
      lane.worker.on('error', (error: unknown) => this.broke(lane, String((error as Error).stack ?? error)));
      lane.worker.on('exit', (code) => this.broke(lane, `a worker ended with code ${code}`));
      this.lanes.push(lane);
      this.idle.push(lane);
    }
  }

  get size(): number {
    return this.lanes.length;
  }

  /** Plays one run; no more may be out than there are workers. Rejects when the worker breaks. */
  play(text: string): Promise<PlayedIn> {
    const lane = this.idle.pop();
    if (!lane) return Promise.reject(new Error('all workers are busy'));
    return new Promise((done, failed) => {
      lane.waiting = { done, failed };
      lane.worker.postMessage({ id: ++this.id, text });
    });
  }

  /** Ends all workers, whatever they are at; runs that are out are rejected. */
  async close(): Promise<void> {
    this.closing = true;
    await Promise.all(this.lanes.map(({ worker }) => worker.terminate()));
  }

  private answered(lane: Lane, answer: Answer): void {
    const { waiting } = lane;
    lane.waiting = undefined;
    this.idle.push(lane);
    if ('failed' in answer) waiting?.failed(new Error(answer.failed));
    else waiting?.done(answer);
  }

  private broke(lane: Lane, why: string): void {
    const { waiting } = lane;
    lane.waiting = undefined;
    waiting?.failed(new Error(this.closing ? 'the run was dropped' : why));
  }
}
