/**
 * The page's side of the worker: one pinned facade for calls, one port for samples. The hands of the page live here, so
 * that the slider, the keys and the opening demonstration move the same ones.
 */
import { type Remote, transfer, wrap } from 'comlink';
import type { BenchInfo, DrillApi, Hands } from '../../worker/api.ts';
import { blockViews } from '../../worker/block.ts';
import { RunRecord } from './run-record.ts';

/** A worker that does not answer a set-up call for this long is taken for dead [ms]. */
const PATIENCE_MS = 20_000;

export interface HandsHeld {
  trigger: number;
  direction: number;
  gear: number;
  meets: number;
  grip_Nm: number;
}

export const DRILL = 'bench-18';
export const CONTROLLER = 'hall-six-step';

export class Session extends EventTarget {
  readonly info: BenchInfo;
  readonly record: RunRecord;
  readonly api: Remote<DrillApi>;
  /** What the hands do now. Read it; change it through `setHands`. */
  readonly hands: HandsHeld = { trigger: 0, direction: 1, gear: 2, meets: 1, grip_Nm: 0 };
  private readonly worker: Worker;

  private constructor(worker: Worker, api: Remote<DrillApi>, info: BenchInfo) {
    super();
    this.worker = worker;
    this.api = api;
    this.info = info;
    this.record = new RunRecord(info.pwm_Hz);
  }

  /** Starts a worker with a bench at rest, time standing. Rejects with the reason when it does not start. */
  static async open(): Promise<Session> {
    const worker = new Worker(new URL('../../worker/drill.worker.ts', import.meta.url), { type: 'module' });
    const broken = new Promise<never>((_, reject) => {
      worker.onerror = (e) => reject(new Error(e.message || 'the worker could not be loaded'));
      setTimeout(() => reject(new Error(`the worker gave no answer for ${PATIENCE_MS / 1000} s`)), PATIENCE_MS);
    });
    broken.catch(() => {}); // Heard through the race below; afterwards nobody waits for it.
    const api = wrap<DrillApi>(worker);
    const info = await Promise.race([api.load(DRILL, CONTROLLER, 1), broken]);
    const session = new Session(worker, api, info);
    const samples = new MessageChannel();
    samples.port1.onmessage = (e: MessageEvent<ArrayBuffer>) => {
      session.record.absorb(blockViews(e.data));
      samples.port1.postMessage(e.data, [e.data]);
    };
    await api.attach(transfer(samples.port2, [samples.port2]));
    await api.setHands(session.hands);
    return session;
  }

  /** Moves hands; `by` tells whether a person or the demonstration did. Fires 'hands'. */
  setHands(hands: Hands, by: 'person' | 'demonstration' = 'person'): void {
    for (const [key, value] of Object.entries(hands) as [keyof HandsHeld, number][]) this.hands[key] = value;
    void this.api.setHands(hands);
    this.dispatchEvent(new CustomEvent('hands', { detail: by }));
  }

  /** Opens all legs, lets go of trigger and chuck. */
  stop(): void {
    void this.api.stop();
    this.hands.trigger = 0;
    this.hands.grip_Nm = 0;
    this.dispatchEvent(new CustomEvent('hands', { detail: 'stop' }));
  }

  /** Ends the worker. */
  close(): void {
    this.worker.terminate();
  }
}
