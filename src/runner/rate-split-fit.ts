/** Can a board be tied in rate-split? Asked once, from its Hello. Scales of converters play no part: values travel in SI. */
import { rateSplitProblem } from '../links/line-budget.ts';
import type { Hello } from '../protocol/hello.ts';
import { versionMisfit } from './fit.ts';

/**
 * What does not fit, one sentence each; empty when the board may run.
 *
 * @param baud rate of the line; left out when the link has none
 */
export function rateSplitMisfits(hello: Hello, rate_Hz: number, baud?: number): string[] {
  const found: string[] = [];
  const version = versionMisfit(hello);
  if (version !== undefined) found.push(version);
  if (hello.rateSplit !== true) {
    found.push(
      'rate-split: the board does not offer it (Hello.rateSplit is not true); allowed is --coupling lock-step',
    );
  }
  const crowded = baud === undefined ? undefined : rateSplitProblem({ baud, watchCount: hello.watch.length }, rate_Hz);
  if (crowded !== undefined) found.push(crowded);
  return found;
}
