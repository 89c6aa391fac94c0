/** Checks used when parameters are made. A step never calls them. */

/** Throws RangeError naming the item unless lo <= value <= hi and the value is finite. */
export function requireRange(item: string, value: number, lo: number, hi: number, unit: string): number {
  if (Number.isFinite(value) && value >= lo && value <= hi) return value;
  throw new RangeError(`${item} is ${value} ${unit}; allowed is ${lo} to ${hi} ${unit}`.trimEnd());
}

/** Throws RangeError naming the item unless the value is finite and greater than zero. */
export function requirePositive(item: string, value: number, unit: string): number {
  if (Number.isFinite(value) && value > 0) return value;
  throw new RangeError(`${item} is ${value} ${unit}; allowed is any finite value above 0 ${unit}`.trimEnd());
}
