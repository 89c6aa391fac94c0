/** The other experiments in reduced number, with one thing at a time that the controller was not told, and all at once. */
import type { Case } from '../cases.ts';
import type { Row } from '../rows.ts';
import { gearRows } from './gears.ts';
import { holdingRows } from './holding.ts';
import { jointRows, screwRows } from './screws.ts';
import { noLoadRows, reversalRows, runUpRows } from './speed.ts';
import { startsExperiment } from './starts.ts';

/** How many of each. */
export interface Extent {
  readonly angles: number;
  readonly charges: readonly number[];
  readonly reversals: number;
  readonly crawls: number;
  readonly blocks: number;
  readonly screws: number;
  readonly joints: number;
}

export const REDUCED: Extent = {
  angles: 12,
  charges: [0.05, 1],
  reversals: 10,
  crawls: 1,
  blocks: 3,
  screws: 1,
  joints: 3,
};

export function robustnessRows(one: Case, extent: Extent): Row[] {
  const rows = [
    ...startsExperiment(one, extent.angles, extent.charges),
    ...runUpRows(one),
    ...noLoadRows(one, [0.3]),
    ...reversalRows(one, extent.reversals),
    ...holdingRows(one, extent.crawls, extent.blocks, 2),
    ...gearRows(one, 1),
    ...screwRows(one, extent.screws),
    ...jointRows(one, extent.joints),
  ];
  return rows.map((row) => ({ ...row, name: `${one.name}: ${row.name}` }));
}
