/** A fault that was ordered: which, how large, when, in which shape. Checked when made. */
import { requireRange } from '../units/checks.ts';
import { FAULTS } from './catalogue.ts';
import type { Begin } from './condition.ts';
import type { Leg } from './entry.ts';
import type { Shape } from './shape.ts';

export interface FaultOrder {
  readonly fault: string;
  /** SI; the usual one when left out. */ readonly size?: number | undefined;
  readonly leg?: Leg | undefined;
  readonly begin: Begin;
  readonly shape: Shape;
  /** Ends after this time [s]; stays when left out. */ readonly for_s?: number | undefined;
}

export interface CheckedOrder extends FaultOrder {
  readonly size: number;
}

/** Completes and freezes an order. Throws RangeError naming fault, item, value and what is allowed. */
export function faultOrder(order: FaultOrder): CheckedOrder {
  const entry = FAULTS[order.fault];
  if (!entry) throw new RangeError(`fault '${order.fault}' is not known; known are ${Object.keys(FAULTS).join(', ')}`);
  if (entry.legs && order.leg === undefined)
    throw new RangeError(`fault ${entry.id}: leg is missing; allowed are a, b, c`);
  if (!entry.legs && order.leg !== undefined) throw new RangeError(`fault ${entry.id} has no leg`);
  const { size } = entry;
  if (!size && order.size !== undefined) throw new RangeError(`fault ${entry.id} has no size: it is there or not`);
  const full = order.size ?? size?.usual ?? 1;
  if (size) requireRange(`fault ${entry.id}: size`, full, size.low, size.high, size.unit);
  return Object.freeze({ ...order, size: full });
}
