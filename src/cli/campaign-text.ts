/** What the command line prints about a campaign. */
import pc from 'picocolors';
import type {
  BreakOutcome,
  CampaignSummary,
  CheckSummary,
  Rate,
  RunRef,
  Values,
  WorstOutcome,
} from '../campaign/results.ts';
import { digits } from './report-text.ts';

/** Runs that did not pass are listed up to here; the JSON summary and the result file have more. */
const LISTED = 10;

export function summaryLines(summary: CampaignSummary): string[] {
  const { verdicts, checks } = summary;
  // A search runs into failures on purpose: what it found is what counts.
  const search = summary.method === 'break' || summary.method === 'worst';
  const width = Math.max(0, ...checks.map(({ name }) => name.length));
  const part = summary.shard === '' ? '' : `, part ${summary.shard}`;
  const kept = Object.entries(verdicts).filter(([, count]) => count > 0);
  return [
    `${pc.bold(summary.title)}  (${summary.file}${part})`,
    `  ${summary.runs} runs of ${summary.points} ${search ? 'cases' : 'points'}: ${kept.map(([verdict, count]) => `${count} ${verdict}`).join(', ')}`,
    ...(search ? [] : [`  passed ${rateText(summary.rate)}`]),
    ...checks.map((check) => checkLine(check, width)),
    ...summary.cases.flatMap((each) => [
      `  ${each.kind === 'break' ? breakText(each) : worstText(each)}`,
      ...(each.again === '' ? [] : [`    ${each.again}`]),
    ]),
    ...(search ? [] : refLines('failed', summary.failed)),
    ...refLines('invalid', summary.invalid),
    ...refLines('controller lost', summary.lost),
    ...refLines('set-up error', summary.refused),
    ...summary.cautions.map((text) => `  ${pc.yellow('caution')} ${text}`),
    `  every run is in ${summary.results}`,
  ];
}

/** A rate with its limits, all in per cent. */
export function rateText({ passed, of, share, low, high, confidence, atLeast }: Rate): string {
  if (share === null || low === null || high === null || atLeast === null) return 'no run was judged';
  const percent = (value: number) => `${Number((100 * value).toFixed(3))} %`;
  const at = percent(confidence);
  return `${passed} of ${of}: ${percent(share)}, at ${at} between ${percent(low)} and ${percent(high)}, or at least ${percent(atLeast)}`;
}

function checkLine({ name, unit, passed, failed, notEvaluated, margin }: CheckSummary, width: number): string {
  const mark = failed > 0 ? pc.red('FAIL') : passed > 0 ? pc.green('pass') : pc.yellow('not evaluated');
  const shown = (value: number) => `${digits(value)}${unit === '' ? '' : ` ${unit}`}`;
  const room = margin ? `, margin ${shown(margin.smallest)} (run ${margin.at}) to ${shown(margin.largest)}` : '';
  const open = notEvaluated > 0 ? `, ${notEvaluated} not evaluated` : '';
  return `  ${mark}  ${name.padEnd(width)}  ${passed} of ${passed + failed}${open}${room}`;
}

export function breakText(found: BreakOutcome): string {
  const unit = found.unit === '' ? '' : ` ${found.unit}`;
  const size = (value: number | null) => `${value}${unit}`;
  const who = valuesText(found.values);
  const what = `case ${found.case}${who === '' ? '' : ` (${who})`}: ${found.place}`;
  const check = found.check === 'any' ? 'all checks hold' : `'${found.check}' holds`;
  const tail = `${found.runs} runs${askedText(found)}`;
  switch (found.found) {
    case 'bracket': {
      const odd = found.contradicting.map(size).join(', ');
      const one =
        found.monotone === null
          ? 'one flip is assumed'
          : found.monotone
            ? 'one flip is assumed; no probe contradicts'
            : `NOT ONE FLIP: it holds again at ${odd}; this bracket is the first that was found`;
      return `${what}: ${check} at ${size(found.holds)} and not at ${size(found.fails)} (tolerance ${size(found.tolerance)}); ${one}; ${tail}`;
    }
    case 'holds all over':
      return `${what}: ${check} up to ${size(found.holds)}, the end of the range; ${tail}`;
    case 'fails from the start':
      return `${what}: does not hold at ${size(found.fails)}, where the range begins; ${tail}`;
    default:
      return `${what}: undecided, ${found.why}; ${tail}`;
  }
}

function askedText({ asked, unit, verdict, margin }: BreakOutcome): string {
  if (asked === null) return '';
  const shown = unit === '' ? '' : ` ${unit}`;
  const room = margin === null ? '' : `, margin ${digits(margin)}${shown}`;
  return `; asked for ${asked}${shown}: ${verdict === 'pass' ? pc.green('pass') : pc.red(verdict)}${room}`;
}

export function worstText({
  case: start,
  values,
  name,
  check,
  unit,
  margin,
  runs,
  ended,
  verdict,
}: WorstOutcome): string {
  const shown =
    margin === null ? 'no margin' : `margin ${digits(margin)}${unit === '' ? '' : ` ${unit}`} of '${check}'`;
  const mark = verdict === 'fail' ? pc.red('FAIL') : verdict === 'pass' ? pc.green('pass') : pc.yellow(verdict);
  return `search ${start}: ${mark}  ${shown} at run ${name} (${valuesText(values)}); ${runs} runs, ended because ${ended}`;
}

function refLines(what: string, refs: readonly RunRef[]): string[] {
  const shown = refs.slice(0, LISTED).flatMap(({ name, values, why, failed, again }) => {
    const reason = why !== '' ? why : failed.join(', ');
    const given = valuesText(values);
    return [`  ${what} ${name}${given === '' ? '' : ` (${given})`}: ${reason}`, `    ${again}`];
  });
  return refs.length > LISTED ? [...shown, `  and ${refs.length - LISTED} more in the JSON summary`] : shown;
}

export const valuesText = (values: Values): string =>
  Object.entries(values)
    .map(([place, value]) => `${place} ${value}`)
    .join(', ');
