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

const OK = Promise.resolve('ok' as const);

/**
 * A link whose legs a person can open at once, whatever the board commands, even while its answer is still out. The tick that
 * waits then ends with open legs, the next one runs without asking, so that they are open in the drill, and the drill waits
 * there. No more than one tick is left out: firmware drives through one, and takes more for lost time.
 * It also keeps the time of every exchange.
 */
export class HeldLink implements LockStepLink {
  private readonly inner: LockStepLink;
  private heldNow = false;
  /** Of the exchange that the bench waits for. */ private sense: Sense | undefined;
  private drive: Drive | undefined;
  private settle: ((result: 'ok' | LinkLoss) => void) | undefined;
  private asked_ms = 0;
  /** An answer is out; it belongs to what the bench waits for, or to a tick that ended without it. */
  private out = false;
  private outIsAwaited = false;
  /** One tick was not asked for, so that the legs are open in the drill while the answer is out. */
  private skipped = false;
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
    openLegs(this.sense, this.drive);
    this.finish('ok');
  }

  /** How long the answer that is out has been waited for [s], 0 when none is. */
  get waited_s(): number {
    return this.out ? (performance.now() - this.asked_ms) / 1000 : 0;
  }

  exchange(sense: Sense, drive: Drive): Promise<'ok' | LinkLoss> {
    this.sense = sense;
    this.drive = drive;
    if (this.out && this.heldNow && !this.skipped) {
      this.skipped = true;
      openLegs(sense, drive);
      return OK;
    }
    return new Promise((resolve) => {
      this.settle = resolve;
      if (!this.out) this.ask(sense, drive);
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

  private ask(sense: Sense, drive: Drive): void {
    this.asked_ms = performance.now();
    this.out = true;
    this.outIsAwaited = true;
    this.skipped = false;
    void this.inner.exchange(sense, drive).then(this.answered);
  }

  private readonly answered = (result: 'ok' | LinkLoss): void => {
    this.out = false;
    const { sense, drive } = this;
    if (!sense || !drive) return;
    if (result === 'ok') this.measure(drive);
    if (this.heldNow) drive.gates = 0;
    if (this.outIsAwaited) this.finish(result);
    else if (this.settle) this.ask(sense, drive);
  };

  private measure({ busy }: Drive): void {
    const { figures } = this;
    const trip_s = (performance.now() - this.asked_ms) / 1000;
    const busy_s = busy * BUSY_COUNT_S;
    figures.count++;
    figures.trip_s += trip_s;
    figures.busy_s += busy_s;
    if (trip_s > figures.tripMost_s) figures.tripMost_s = trip_s;
    if (busy_s > figures.busyMost_s) figures.busyMost_s = busy_s;
  }

  private finish(result: 'ok' | LinkLoss): void {
    const { settle } = this;
    this.settle = undefined;
    this.outIsAwaited = false;
    settle?.(result);
  }
}

function openLegs(sense: Sense, drive: Drive): void {
  drive.tick = sense.tick;
  drive.gates = 0;
}
