/** `sample-size`: how many runs a claim takes, and what a number of runs proves. */
import { highLimit, lowLimit, rateLimits, runsNeeded } from '../campaign/rates.ts';
import { SetUpError } from '../links/errors.ts';

export interface SampleOptions {
  readonly share?: string;
  readonly confidence?: string;
  readonly failures?: string;
  readonly runs?: string;
  readonly json?: boolean;
}

/** Text for stdout. Throws SetUpError on a number that is not allowed. */
export function sampleSizeText({ share, confidence, failures, runs, json }: SampleOptions): string {
  const sure = part('--confidence', confidence ?? '95 %');
  const fail = whole('--failures', failures ?? '0', 0);
  if (runs !== undefined) {
    if (share !== undefined)
      throw new SetUpError(`--share ${share}: name --share to ask how many, or --runs to ask what they prove`);
    const of = whole('--runs', runs, 1);
    if (fail > of) throw new SetUpError(`--failures ${fail}: allowed is 0 to ${of}`);
    const passed = of - fail;
    const limits = rateLimits(passed, of, sure);
    const atLeast = lowLimit(passed, of, sure);
    const failsAtMost = highLimit(fail, of, sure);
    if (json) return text({ runs: of, failures: fail, confidence: sure, passed, ...limits, atLeast, failsAtMost });
    return (
      `${passed} of ${of} passed: at ${percent(sure)} confidence at least ${percent(atLeast)} of all pass ` +
      `(at most ${percent(failsAtMost)} fail); between ${percent(limits.low)} and ${percent(limits.high)} from both sides\n`
    );
  }
  const wanted = part('--share', share ?? '99 %');
  const needed = runsNeeded(wanted, sure, fail);
  if (json) return text({ share: wanted, confidence: sure, failures: fail, runs: needed });
  const clean = fail === 0 ? 'clean runs' : `runs with no more than ${fail} failed`;
  return `${needed} ${clean} show at ${percent(sure)} confidence that at least ${percent(wanted)} of all pass, when the points are drawn at random\n`;
}

const text = (value: object): string => `${JSON.stringify(value, null, 2)}\n`;
const percent = (value: number): string => `${Number((100 * value).toFixed(4))} %`;

/** A share as '99 %' or '0.99'. */
function part(option: string, given: string): number {
  const match = /^\s*(\d+(?:\.\d+)?|\.\d+)\s*(%?)\s*$/.exec(given);
  const value = match ? Number(match[1]) / (match[2] === '%' ? 100 : 1) : Number.NaN;
  if (value > 0 && value < 1) return value;
  throw new SetUpError(`${option} ${given}: allowed is above 0 and below 1, such as 0.99 or '99 %'`);
}

function whole(option: string, given: string, least: number): number {
  const value = Number(given);
  if (/^\d+$/.test(given) && value >= least && value <= 1e7) return value;
  throw new SetUpError(`${option} ${given}: allowed is a whole number from ${least} to 10000000`);
}
