/** Ties a board to the slow plant, in wall time. */
import { openOver } from '../links/node-kinds.ts';
import { openRateSplit, type RateSplitLink } from '../links/rate-split.ts';
import { REFUSE_MISFIT } from '../protocol/frames.ts';
import type { BenchOptions } from '../runner/core.ts';
import { RateSplitBench } from '../runner/rate-split.ts';
import { rateSplitMisfits } from '../runner/rate-split-fit.ts';
import type { ControllerChoice } from './controller-choice.ts';
import { NODE_CLOCK } from './node-clock.ts';
import { asSetUp, refuseMisfit, type Tie } from './node-couple.ts';

/**
 * Throws SetUpError when the board cannot be reached, speaks another protocol or does not offer rate-split, or when its line
 * is too slow for the rate, and LinkLostError when it was lost before its Hello.
 */
export async function coupleRateSplit(
  choice: ControllerChoice,
  { drill, seed }: BenchOptions,
  rate_Hz: number,
): Promise<Tie> {
  const link = await open(choice);
  try {
    const found = rateSplitMisfits(link.hello, rate_Hz, link.baud);
    if (found.length > 0) link.refuse(REFUSE_MISFIT, found[0]);
    refuseMisfit(choice, found);
    const bench = new RateSplitBench({ drill, seed, rate_Hz, link, clock: NODE_CLOCK });
    return { bench, link, close: () => link.close() };
  } catch (error) {
    await link.close();
    throw error;
  }
}

async function open(choice: ControllerChoice): Promise<RateSplitLink> {
  try {
    return await openOver(choice, openRateSplit);
  } catch (error) {
    throw asSetUp(error);
  }
}
