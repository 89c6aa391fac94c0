/** A value in the unit of a signal or of a fault: text with that unit or one like it, a plain number where there is none. */
import { describe, type QuantityResult, readWithUnit, unitsLike } from './quantity.ts';

/** @param show unit in which it is shown, '' for none  @param of what it belongs to, for messages. Never throws. */
export function readAmount(value: unknown, show: string, of: string): QuantityResult {
  if (show !== '') {
    const read = readWithUnit(value, unitsLike(show));
    return read.ok ? read : { ok: false, why: `${read.why} (units of ${of})` };
  }
  if (typeof value === 'number' && Number.isFinite(value)) return { ok: true, si: value };
  return { ok: false, why: `${describe(value)} does not fit; ${of} has no unit, allowed is a plain number` };
}
