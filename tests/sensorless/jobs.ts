/** Every experiment as a job that can run by itself, in full and in a short form. */
import { CASES } from './cases.ts';
import { compareRows } from './experiments/compare.ts';
import { gearRows } from './experiments/gears.ts';
import { holdingRows } from './experiments/holding.ts';
import { type Extent, REDUCED, robustnessRows } from './experiments/robustness.ts';
import { jointRows, screwRows } from './experiments/screws.ts';
import { noLoadRows, reversalRows, runUpRows } from './experiments/speed.ts';
import { startsExperiment } from './experiments/starts.ts';
import { textbookRows } from './experiments/textbook.ts';
import type { Row } from './rows.ts';

export interface Job {
  readonly title: string;
  readonly run: (short: boolean) => Row[];
}

/** Packs at which the no-load speed is asked: nearly empty, on its nominal voltage, full. */
const NO_LOAD_CHARGES = [0.05, 0.3, 1];
const FEW: Extent = { ...REDUCED, angles: 6, charges: [0.5], reversals: 4, blocks: 1, joints: 2 };

/** The bench drill as it was commissioned. */
const AS_BUILT = {};

export const JOBS: readonly Job[] = [
  { title: '1 starts', run: (short) => startsExperiment(AS_BUILT, short ? 24 : 100) },
  { title: '2 speed', run: () => [...runUpRows(AS_BUILT), ...noLoadRows(AS_BUILT, NO_LOAD_CHARGES)] },
  {
    title: '2 reversals',
    run: (short) => [...reversalRows(AS_BUILT, short ? 10 : 100), ...reversalRows(AS_BUILT, short ? 10 : 100, true)],
  },
  { title: '3 holding', run: (short) => holdingRows(AS_BUILT, short ? 1 : 6, short ? 4 : 12) },
  { title: '4 gears', run: (short) => gearRows(AS_BUILT, short ? 1 : 6) },
  { title: '5 screws', run: (short) => screwRows(AS_BUILT, short ? 1 : 5) },
  { title: '5 joint', run: (short) => jointRows(AS_BUILT, short ? 3 : 10) },
  ...CASES.map((one) => ({
    title: `6 ${one.name}`,
    run: (short: boolean) => robustnessRows(one, short ? FEW : REDUCED),
  })),
  { title: '7 against six-step', run: (short) => compareRows(AS_BUILT, short ? 0.3 : 1, short ? 4 : 12) },
  { title: '8 textbook', run: (short) => textbookRows(short ? 16 : 60) },
];
