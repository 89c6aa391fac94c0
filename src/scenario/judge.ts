/** How much room a number has within its limits. */
export interface Judgment {
  readonly limit: number;
  readonly bound: 'at least' | 'at most';
  readonly margin: number;
}

/** The limit with the least room and that room, in SI. At least one limit must be given. */
export function judge(value: number, atLeast: number | undefined, atMost: number | undefined): Judgment {
  const below = atMost === undefined ? Number.POSITIVE_INFINITY : atMost - value;
  const above = atLeast === undefined ? Number.POSITIVE_INFINITY : value - atLeast;
  if (above <= below) return { limit: atLeast as number, bound: 'at least', margin: above };
  return { limit: atMost as number, bound: 'at most', margin: below };
}
