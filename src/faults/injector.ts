/**
 * Puts ordered faults into a drill: before each tick it looks which have begun or ended, and writes what all of them together
 * make of the damages. Every begin and end is logged with its moment.
 */
import type { Damage } from '../plant/damage.ts';
import { DamageSums } from './damage-sums.ts';
import { FaultRun } from './fault-run.ts';
import { type FaultOrder, faultOrder } from './order.ts';

export interface FaultEvent {
  readonly at_s: number;
  /** Place of the order in the list. */ readonly order: number;
  readonly fault: string;
  readonly what: 'begins' | 'ends';
}

export class Injector {
  readonly events: FaultEvent[] = [];
  private readonly runs: readonly FaultRun[];
  private readonly sums = new DamageSums();

  /** Throws RangeError when an order is not allowed. @param seed of the scenario: intermittent faults draw from it */
  constructor(orders: readonly FaultOrder[], seed: number) {
    this.runs = orders.map((each, k) => new FaultRun(faultOrder(each), (seed + 7919 * (k + 1)) % 4294967296));
    for (const run of this.runs) this.sums.cover(run);
  }

  /** Moment at which an order began, NaN before. */
  began_s(order: number): number {
    return this.runs[order].began_s;
  }

  /** Orders that are in force, as places in the list. */
  active(): number[] {
    return this.runs.flatMap(({ share }, k) => (share > 0 ? [k] : []));
  }

  /** Before a tick. @param sample signals after the tick before @param tick_s length of a tick */
  act(now_s: number, tick_s: number, sample: Float64Array, damage: Damage): void {
    let changed = false;
    for (let k = 0; k < this.runs.length; k++) if (this.move(k, now_s, tick_s / 2, sample)) changed = true;
    if (changed) this.sums.write(this.runs, damage);
  }

  /** Moves one order on; true when its share has changed. */
  private move(k: number, now_s: number, slack_s: number, sample: Float64Array): boolean {
    const run = this.runs[k];
    if (run.ended) return false;
    const waited = Number.isNaN(run.began_s);
    const changed = run.move(now_s, slack_s, sample);
    if (waited && !Number.isNaN(run.began_s)) this.log(k, now_s, 'begins');
    if (run.ended) this.log(k, now_s, 'ends');
    return changed;
  }

  private log(order: number, at_s: number, what: FaultEvent['what']): void {
    this.events.push({ at_s, order, fault: this.runs[order].order.fault, what });
  }
}
