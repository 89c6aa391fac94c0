/**
 * Runs a lock-step bench as its answers come, never faster than its pace. Waiting for an answer holds virtual time, not the
 * worker: messages get in between any two ticks, and where answers come at once, a few milliseconds later at most.
 */
import { pause } from '../src/links/within.ts';
import type { LockStepBench } from '../src/runner/lock-step.ts';
import { type Pacer, SLICE_MS, TURN_MS } from './pacer.ts';

/** Who waited longer than this for an answer has let messages in [ms]. */
const WAITED_MS = 1;

export interface WalkHooks {
  /** Before each period. */ before(): void;
  /** After each period. */ after(): void;
  /** Now and then, at least once a turn. */ turn(): void;
}

export class Walk {
  private readonly bench: LockStepBench;
  private readonly pacer: Pacer;
  private readonly hooks: WalkHooks;
  private readonly hop = new MessageChannel();
  private breathed: (() => void) | undefined;
  private running = false;
  private ended = false;
  /** Ticks that do not wait until they are due. */ private ahead = 0;
  /** The ticks under way; whoever wants the bench waits for them. */ private under: Promise<void> | undefined;

  constructor(bench: LockStepBench, pacer: Pacer, hooks: WalkHooks) {
    this.bench = bench;
    this.pacer = pacer;
    this.hooks = hooks;
    this.hop.port1.onmessage = () => this.breathed?.();
  }

  run(): void {
    if (this.ended || this.bench.plant.fault !== '') return;
    this.running = true;
    this.pacer.start(performance.now() / 1000);
    this.under ??= this.walk();
  }

  freeze(): void {
    this.running = false;
  }

  /** The next ticks come at once, wherever the clock is. */
  hurry(ticks: number): void {
    this.ahead = ticks;
    this.breathed?.();
  }

  /** Goes on by whole periods once what is under way has ended. */
  async step(periods: number): Promise<void> {
    await this.under;
    if (this.running || this.ended || this.under || this.bench.plant.fault !== '') return;
    this.under = this.go(periods);
    await this.under;
  }

  /** Nothing runs and nothing is noted from now on. */
  end(): void {
    this.running = false;
    this.ended = true;
    this.hop.port1.close();
  }

  private async walk(): Promise<void> {
    const { pacer, bench } = this;
    const { period_s } = bench.plant;
    let begin_ms = performance.now();
    while (this.running && bench.plant.fault === '') {
      const now_ms = performance.now();
      if (pacer.due(now_ms / 1000) < period_s && this.ahead === 0) {
        this.hooks.turn();
        await Promise.race([pause(SLICE_MS), this.roused()]);
        begin_ms = performance.now();
      } else if (now_ms - begin_ms > TURN_MS) {
        this.hooks.turn();
        await this.breathe();
        begin_ms = performance.now();
      } else {
        if (this.ahead > 0) this.ahead--;
        const answer = this.tick();
        if (answer) await answer;
        if (performance.now() - now_ms > WAITED_MS) begin_ms = performance.now();
        if (!this.ended) pacer.done(period_s); // the pacer may serve another bench by now
      }
    }
    this.under = undefined;
  }

  private async go(periods: number): Promise<void> {
    for (let k = 0; k < periods && !this.ended && this.bench.plant.fault === ''; k++) await this.tick();
    this.hooks.turn();
    this.under = undefined;
    if (this.running) this.run();
  }

  private tick(): void | Promise<void> {
    if (this.ended) return;
    this.hooks.before();
    const answer = this.bench.tickOnce();
    if (answer) return answer.then(this.note);
    this.note();
  }

  private readonly note = (): void => {
    if (!this.ended) this.hooks.after();
  };

  private breathe(): Promise<void> {
    const breathed = this.roused();
    this.hop.port2.postMessage(0);
    return breathed;
  }

  private roused(): Promise<void> {
    return new Promise((resolve) => {
      this.breathed = resolve;
    });
  }
}
