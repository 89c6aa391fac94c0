/** What several faults together make of the damages of a drill. What none of them breaks any more heals. */
import { DAMAGE, type Damage, type DamageName } from '../plant/damage.ts';
import { FAULTS } from './catalogue.ts';
import type { Effect, Leg } from './entry.ts';
import type { FaultRun } from './fault-run.ts';

const NAMES = Object.keys(DAMAGE) as DamageName[];
const PLACE = Object.fromEntries(NAMES.map((name, k) => [name, k])) as Record<DamageName, number>;

export class DamageSums {
  /** Places of the damages that these faults may move; all others are left alone. */
  private readonly touched: number[] = [];
  private readonly sums = new Float64Array(NAMES.length);

  /** A fault may be written from now on. */
  cover({ order: { fault, leg } }: FaultRun): void {
    for (const effect of FAULTS[fault].effects) {
      const place = PLACE[damageOf(effect, leg)];
      if (!this.touched.includes(place)) this.touched.push(place);
    }
  }

  /** Writes what the covered faults make of the damages now. */
  write(runs: readonly FaultRun[], damage: Damage): void {
    for (const place of this.touched) this.sums[place] = 0;
    for (const { order, share } of runs) {
      if (share === 0) continue;
      for (const effect of FAULTS[order.fault].effects) {
        const place = PLACE[damageOf(effect, order.leg)];
        const value = effect.value(order.size * share);
        this.sums[place] = DAMAGE[NAMES[place]].bits ? this.sums[place] | value : this.sums[place] + value;
      }
    }
    for (const place of this.touched) damage.put(NAMES[place], this.sums[place]);
  }
}

/** The damage that an effect moves; `leg` is there where it asks for one. */
export function damageOf(effect: Effect, leg: Leg | undefined): DamageName {
  return typeof effect.damage === 'string' ? effect.damage : effect.damage[leg!];
}
