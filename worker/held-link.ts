import type { BoardLink, LinkLoss, LockStepLink, WelcomeTerms } from '../src/links/link.ts';
import { BUSY_COUNT_S, type Drive, type Sense } from '../src/protocol/frames.ts';

/** What an exchange took, since the last `take`. */
export interface ExchangeFigures {
  count: number;
  /** Wall time from a Sense to its Drive [s], added up and at most. */ trip_s: number;
  tripMost_s: number;
  /** Time that the processor of the board says it spent [s], added up and at most; 0 when it does not measure. */
  busy_s: number;
  busyMost_s: number;
}

const none = (): ExchangeFigures => ({ count: 0, trip_s: 0, tripMost_s: 0, busy_s: 0, busyMost_s: 0 });

/**
 * A link whose legs a person can open at once, whatever the board commands, even while its answer is still out: the drill
 * then runs one tick with open legs and waits for that answer before it asks again. It also keeps the time of every exchange.
 */
export class HeldLink implements LockStepLink {
  private readonly inner: LockStepLink;
  private heldNow = false;
  private sense: Sense | undefined;
  private drive: Drive | undefined;
  private asked_ms = 0;
  private outstanding: Promise<'ok' | LinkLoss> | undefined;
  private settle: ((result: 'ok' | LinkLoss) => void) | undefined;
  private figures = none();

  constructor(inner: LockStepLink) {
    this.inner = inner;
  }

  get name(): string {
    return this.inner.name;
  }

  get hello(): BoardLink['hello'] {
    return this.inner.hello;
  }

  get counters(): BoardLink['counters'] {
    return this.inner.counters;
  }

  get notes(): BoardLink['notes'] {
    return this.inner.notes;
  }

  get held(): boolean {
    return this.heldNow;
  }

  /** True opens all legs from the next update point on, without waiting for the board. */
  set held(on: boolean) {
    this.heldNow = on;
    if (!on || !this.settle || !this.sense || !this.drive) return;
    this.drive.tick = this.sense.tick;
    this.drive.gates = 0;
    this.finish('ok');
  }

  /** How long the answer that is out has been waited for [s], 0 when none is. */
  get waited_s(): number {
    return this.outstanding ? (performance.now() - this.asked_ms) / 1000 : 0;
  }

  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss> {
    if (this.outstanding) return this.outstanding.then(() => this.exchange(sense, drive));
    this.sense = sense;
    this.drive = drive;
    this.asked_ms = performance.now();
    this.outstanding = this.inner.exchange(sense, drive);
    return new Promise((resolve) => {
      this.settle = resolve;
      this.outstanding?.then(this.answered);
    });
  }

  /** Figures of the exchanges since the last call. */
  take(): Readonly<ExchangeFigures> {
    const taken = this.figures;
    this.figures = none();
    return taken;
  }

  welcome(terms: WelcomeTerms): void {
    this.inner.welcome(terms);
  }

  refuse(reason: number, text: string): void {
    this.inner.refuse(reason, text);
  }

  power(on: boolean, tick: number): void {
    this.inner.power(on, tick);
  }

  close(): Promise<void> {
    return this.inner.close();
  }

  private readonly answered = (result: 'ok' | LinkLoss): void => {
    this.outstanding = undefined;
    if (result === 'ok' && this.drive) {
      const trip_s = (performance.now() - this.asked_ms) / 1000;
      const busy_s = this.drive.busy * BUSY_COUNT_S;
      const { figures } = this;
      figures.count++;
      figures.trip_s += trip_s;
      figures.busy_s += busy_s;
      if (trip_s > figures.tripMost_s) figures.tripMost_s = trip_s;
      if (busy_s > figures.busyMost_s) figures.busyMost_s = busy_s;
      if (this.heldNow) this.drive.gates = 0;
    }
    this.finish(result);
  };

  private finish(result: 'ok' | LinkLoss): void {
    const { settle } = this;
    this.settle = undefined;
    settle?.(result);
  }
}
