/** Checks used when parameters are made. A step never calls them. */

/** Throws RangeError naming the item unless lo <= value <= hi and the value is finite. */
export function requireRange(item: string, value: number, lo: number, hi: number, unit: string): number {
  if (Number.isFinite(value) && value >= lo && value <= hi) return value;
  throw new RangeError(`${item} is ${withUnit(value, unit)}; allowed is ${lo} to ${withUnit(hi, unit)}`);
}

/** Throws RangeError naming the item unless the value is finite and greater than zero. */
export function requirePositive(item: string, value: number, unit: string): number {
  if (Number.isFinite(value) && value > 0) return value;
  throw new RangeError(`${item} is ${withUnit(value, unit)}; allowed is any finite value above 0`);
}

function withUnit(value: number, unit: string): string {
  return unit === '' ? `${value}` : `${value} ${unit}`;
}
