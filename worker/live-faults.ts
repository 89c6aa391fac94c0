/**
 * Faults of the running bench: armed, fired and cleared by a person, seen to before every tick. While none is in force the bench is
 * not touched, so that its bits are those of a bench without.
 *
 * State  all in own fields of numbers, strings and frozen orders: a snapshot sees it, and the same deeds at the same ticks make
 *        the same bits.
 */
import { FAULTS } from '../src/faults/catalogue.ts';
import type { Begin } from '../src/faults/condition.ts';
import { DamageSums } from '../src/faults/damage-sums.ts';
import { FaultRun } from '../src/faults/fault-run.ts';
import type { BenchCore } from '../src/runner/core.ts';
import { FAULTS_MOST } from '../src/scenario/kinds.ts';
import type { FaultHand } from './course.ts';
import type { FaultNews, FaultState, LiveFault, LiveOrder } from './fault-api.ts';
import { orderWords } from './fault-ask.ts';
import type { FaultDeed } from './past-api.ts';

/** Spans that are told; the record shows nine seconds. */
const SPANS_MOST = 64;
const SEED_STEP = 7919;
const SEEDS = 2 ** 32;

interface Held {
  readonly handle: number;
  readonly order: LiveOrder;
  readonly words: string;
  state: FaultState;
  since_s: number;
  run: FaultRun | undefined;
}

export class LiveFaults implements FaultHand {
  /** How often a fault has come into force. */ begun = 0;
  readonly seed: number;
  private readonly held: Held[] = [];
  /** Runs of those that were fired. */ private readonly fired: FaultRun[] = [];
  private readonly sums = new DamageSums();
  private readonly from_s: number[] = [];
  private readonly to_s: number[] = [];
  /** Start of the next tick [s]. */ private now_s = 0;
  /** A fault in force was taken away since the last tick. */ private healed = false;

  /** @param seed of the bench: intermittent faults draw from it */
  constructor(seed: number) {
    this.seed = seed;
  }

  /** Throws RangeError when the deed is not allowed; then nothing has changed. */
  take(deed: FaultDeed): void {
    if (deed.what === 'arm') this.arm(deed.handle, deed.order);
    else if (deed.what === 'clear all') while (this.held.length > 0) this.clear(this.held[0]);
    else if (deed.what === 'clear') this.clear(this.find(deed.handle));
    else this.fire(this.find(deed.handle));
  }

  /** Before each tick. */
  act({ plant, sample }: BenchCore): void {
    const now_s = plant.time_s;
    this.now_s = now_s + plant.period_s;
    if (this.fired.length === 0 && !this.healed) return;
    let changed = this.healed;
    this.healed = false;
    for (let k = 0; k < this.fired.length; k++)
      if (this.fired[k].move(now_s, plant.period_s / 2, sample)) changed = true;
    if (changed) this.sums.write(this.fired, plant.damage);
    for (let k = 0; k < this.held.length; k++) this.follow(this.held[k], now_s);
  }

  /** How they stand, in the order in which they were armed. */
  news(): FaultNews {
    const faults = this.held.map(({ handle, order, words, state, since_s }): LiveFault => {
      const { name, place } = FAULTS[order.fault];
      const { fault, leg, size } = order;
      return { handle, fault, name, place, state, since_s, size, words, ...(leg ? { leg } : {}) };
    });
    return { faults, faultSpans: this.from_s.map((from_s, k) => [from_s, this.to_s[k]] as const) };
  }

  /**
   * Holds a fault that comes into force by itself, as its order says.
   *
   * @param seed from which it draws
   */
  protected holdOrdered(handle: number, order: LiveOrder, begin: Begin, seed: number): void {
    this.arm(handle, order);
    this.begin(this.find(handle), begin, seed);
  }

  private arm(handle: number, order: LiveOrder): void {
    if (this.held.length >= FAULTS_MOST)
      throw new RangeError(
        `${this.held.length} faults are armed or active; allowed are ${FAULTS_MOST}. Clear one first.`,
      );
    const words = orderWords(order);
    this.held.push({ handle, order, words, state: 'armed', since_s: this.now_s, run: undefined });
  }

  private fire(held: Held): void {
    const { order, handle, state } = held;
    if (state !== 'armed')
      throw new RangeError(`${FAULTS[order.fault].name} has been fired before; clear it, then arm it again`);
    this.begin(held, beginOf(order, this.now_s), (this.seed + SEED_STEP * handle) % SEEDS);
  }

  private begin(held: Held, begin: Begin, seed: number): void {
    const run = new FaultRun({ ...held.order, begin }, seed);
    this.sums.cover(run);
    this.fired.push(run);
    held.run = run;
    this.set(held, 'waits');
  }

  private clear(held: Held): void {
    this.healed ||= (held.run?.share ?? 0) > 0;
    this.held.splice(this.held.indexOf(held), 1);
    this.leave(held);
  }

  /** Moves the state of one on with its run. */
  private follow(held: Held, now_s: number): void {
    const { run } = held;
    if (!run) return;
    if (run.ended) {
      this.leave(held);
      held.state = 'armed';
      held.since_s = now_s;
    } else if (held.state === 'waits' && !Number.isNaN(run.began_s)) {
      if (!this.held.some(({ state }) => state === 'active')) this.begins(now_s);
      held.state = 'active';
      this.begun++;
      held.since_s = now_s;
    }
  }

  /** Its run is over. */
  private leave(held: Held): void {
    if (!held.run) return;
    this.fired.splice(this.fired.indexOf(held.run), 1);
    held.run = undefined;
    const was = held.state === 'active';
    held.state = 'armed';
    if (was && !this.held.some(({ state }) => state === 'active')) this.to_s[this.to_s.length - 1] = this.now_s;
  }

  private begins(now_s: number): void {
    if (this.from_s.length >= SPANS_MOST) {
      this.from_s.shift();
      this.to_s.shift();
    }
    this.from_s.push(now_s);
    this.to_s.push(Number.NaN);
  }

  private set(held: Held, state: FaultState): void {
    held.state = state;
    held.since_s = this.now_s;
  }

  private find(handle: number): Held {
    const held = this.held.find((each) => each.handle === handle);
    if (!held) throw new RangeError(`fault number ${handle} is not there any more; it has been cleared`);
    return held;
  }
}

/** When an order begins that is fired now. Throws RangeError when its moment has passed. */
function beginOf({ fault, when }: LiveOrder, now_s: number): Begin {
  if (when.kind === 'at once') return { kind: 'at', at_s: now_s };
  if (when.kind === 'after') return { kind: 'at', at_s: now_s + when.after_s };
  if (when.kind === 'when') return { ...when, from_s: now_s };
  if (when.at_s < now_s)
    throw new RangeError(
      `${FAULTS[fault].name}: its moment, ${when.at_s} s, has passed; the run is at ${now_s.toFixed(3)} s`,
    );
  return { kind: 'at', at_s: when.at_s };
}
