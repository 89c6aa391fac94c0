/**
 * Puts ordered faults into a drill: before each tick it looks which have begun or ended, and writes what all of them together
 * make of the damages. What nobody breaks any more heals. Every begin and end is logged with its moment.
 */
import { DAMAGE, type Damage, type DamageName } from '../plant/damage.ts';
import { BeginWatch } from './condition.ts';
import { type CheckedOrder, type FaultOrder, faultOrder } from './order.ts';
import { ShapeRun } from './shape.ts';

export interface FaultEvent {
  readonly at_s: number;
  /** Place of the order in the list. */ readonly order: number;
  readonly fault: string;
  readonly what: 'begins' | 'ends';
}

interface Running {
  readonly order: CheckedOrder;
  readonly begin: BeginWatch;
  readonly shape: ShapeRun;
  /** NaN before it begins. */ began_s: number;
  ended: boolean;
  share: number;
}

const NAMES = Object.keys(DAMAGE) as DamageName[];
const PLACE = Object.fromEntries(NAMES.map((name, k) => [name, k])) as Record<DamageName, number>;

export class Injector {
  readonly events: FaultEvent[] = [];
  private readonly running: Running[];
  private readonly touched: readonly number[];
  private readonly sums = new Float64Array(NAMES.length);

  /** Throws RangeError when an order is not allowed. @param seed of the scenario: intermittent faults draw from it */
  constructor(orders: readonly FaultOrder[], seed: number) {
    this.running = orders.map((each, k) => {
      const order = faultOrder(each);
      const shape = new ShapeRun(order.shape, (seed + 7919 * (k + 1)) % 4294967296);
      return { order, begin: new BeginWatch(order.begin), shape, began_s: Number.NaN, ended: false, share: 0 };
    });
    const places = this.running.flatMap(({ order }) => order.entry.effects.map((each) => PLACE[damageOf(order, each)]));
    this.touched = [...new Set(places)];
  }

  /** Moment at which an order began, NaN before. */
  began_s(order: number): number {
    return this.running[order].began_s;
  }

  /** Orders that are in force, as places in the list. */
  active(): number[] {
    return this.running.flatMap(({ share }, k) => (share > 0 ? [k] : []));
  }

  /** Before a tick. @param sample signals after the tick before @param tick_s length of a tick */
  act(now_s: number, tick_s: number, sample: Float64Array, damage: Damage): void {
    let changed = false;
    for (let k = 0; k < this.running.length; k++) if (this.move(k, now_s, tick_s / 2, sample)) changed = true;
    if (changed) this.write(damage);
  }

  /** Moves one order on; true when its share has changed. */
  private move(k: number, now_s: number, slack_s: number, sample: Float64Array): boolean {
    const run = this.running[k];
    if (run.ended) return false;
    if (Number.isNaN(run.began_s)) {
      if (!run.begin.due(now_s, sample, slack_s)) return false;
      run.began_s = now_s;
      this.log(k, now_s, 'begins');
    }
    const since_s = now_s - run.began_s;
    run.ended = run.order.for_s !== undefined && since_s >= run.order.for_s - slack_s;
    if (run.ended) this.log(k, now_s, 'ends');
    const share = run.ended ? 0 : run.shape.share(since_s);
    const changed = share !== run.share;
    run.share = share;
    return changed;
  }

  private write(damage: Damage): void {
    for (const place of this.touched) this.sums[place] = 0;
    for (const { order, share } of this.running) {
      if (share === 0) continue;
      for (const effect of order.entry.effects) {
        const place = PLACE[damageOf(order, effect)];
        const value = effect.value(order.size * share);
        this.sums[place] = DAMAGE[NAMES[place]].bits ? this.sums[place] | value : this.sums[place] + value;
      }
    }
    for (const place of this.touched) damage.put(NAMES[place], this.sums[place]);
  }

  private log(order: number, at_s: number, what: FaultEvent['what']): void {
    this.events.push({ at_s, order, fault: this.running[order].order.fault, what });
  }
}

function damageOf(order: CheckedOrder, effect: CheckedOrder['entry']['effects'][number]): DamageName {
  return typeof effect.damage === 'string' ? effect.damage : effect.damage[order.leg!];
}
