import { expect } from 'vitest';

/** Why a tolerance is what it is: exact algebra, an error constant, a resolution, or the spread of the source. */
export interface Tolerance {
  /** Largest absolute deviation, in the unit of the value. */ readonly abs: number;
  /** Reason of `abs`; printed when the check fails. */ readonly because: string;
}

/** Expects |actual - expected| <= abs and prints the reason of the bound when it does not hold. */
export function expectNear(actual: number, expected: number, { abs, because }: Tolerance): void {
  const off = Math.abs(actual - expected);
  const text = `${actual} is ${off} away from ${expected}; allowed is ${abs} because ${because}`;
  expect(off <= abs, text).toBe(true);
}
