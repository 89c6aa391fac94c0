/** The verdict first, then in one sentence why, then what decides whether it can be trusted. */
import { arrow } from '../bar.ts';
import { type Html, html, type Part } from '../html.ts';
import { leastRoom } from '../least.ts';
import type { CheckTold, RunTold } from '../model.ts';
import type { Report } from '../report.ts';
import type { Trends } from '../trend.ts';
import { LETTERS, legend, letterOf, overall } from '../verdict.ts';
import { pointText, shownNumber, withUnit } from '../words.ts';

export function head(report: Report, trends: Trends | undefined): Html {
  const { runs, played } = report;
  const { letter, word } = overall(runs);
  return html`<header>
<div class="made"><span>Test report, ${report.versions.program ?? 'phantom-spindle'}</span><span>made ${report.at.replace('T', ' ').replace(/(\.\d+)?Z$/, ' UTC')}</span></div>
<div class="verdict"><b class="chip seal ${letter.toLowerCase()}" aria-hidden="true">${letter}</b><div><p class="word">${word}</p><p class="say">${sentence(runs)}</p></div></div>
<h1>${report.title}</h1>
<dl class="facts">
${fact('Coupling', distinct(runs.map(couplingText)).join(', ') || 'none', couplingNote(runs))}
${fact('Virtual / wall', ratioText(played), timesText(played))}
${lostFact(played)}
${invalidFact(played)}
${checksFact(runs)}
${leastFact(runs)}
${trends === undefined ? '' : trendFact(trends)}
</dl>
${legend()}
</header>
`;
}

function fact(name: string, value: Part, note = '', bad = false): Html {
  return html`<div class="${bad ? 'bad' : ''}"><dt>${name}</dt><dd>${value}${note === '' ? '' : html`<small>${note}</small>`}</dd></div>`;
}

/** What ended how, in words. */
function sentence(runs: readonly RunTold[]): string {
  if (runs.length === 0) return 'No run took place.';
  if (runs.length === 1) return oneSentence(runs[0]);
  const parts = Object.keys(LETTERS)
    .map((letter) => ({ letter, count: runs.filter(({ verdict }) => letterOf(verdict) === letter).length }))
    .filter(({ count }) => count > 0)
    .map(({ letter, count }) => `${count} ${LETTERS[letter as keyof typeof LETTERS].word}`);
  return parts.length === 1 && parts[0].endsWith(' passed')
    ? `All ${runs.length} runs passed.`
    : `Of ${runs.length} runs: ${parts.join(', ')}.`;
}

function oneSentence({ verdict, why, checks, problems }: RunTold): string {
  if (why !== '') return `${why[0].toUpperCase()}${why.slice(1)}.`;
  if (problems.length > 0) return problems.join(' ');
  const not = checks.filter((check) => check.verdict !== 'pass');
  if (verdict === 'passed') return `Every one of ${checks.length} checks holds.`;
  return `Of ${checks.length} checks ${not.length === 1 ? 'one does' : `${not.length} do`} not hold: ${not.map(({ name }) => name).join('; ')}.`;
}

export const couplingText = ({ coupling, rate_Hz }: RunTold): string =>
  rate_Hz === null || coupling === '' ? coupling : `${coupling} at ${shownNumber(rate_Hz)} Hz`;

const NOTES: Readonly<Record<string, string>> = {
  'in-process': 'controller inside this program, one exchange a PWM period',
  'lock-step': 'virtual time waits for the controller',
  'rate-split': 'controller in its own time: a motor of its own closes the fast loop',
};

function couplingNote(runs: readonly RunTold[]): string {
  const kinds = distinct(runs.map(({ coupling }) => coupling));
  return kinds.length === 1 ? (NOTES[kinds[0]] ?? '') : 'see each run';
}

function ratioText(runs: readonly RunTold[]): string {
  const wall_s = sum(runs.map((run) => run.wall_s ?? 0));
  return wall_s > 0
    ? `${shownNumber(Number((sum(runs.map((run) => run.virtual_s)) / wall_s).toPrecision(3)))}`
    : 'not known';
}

function timesText(runs: readonly RunTold[]): string {
  const wall_s = sum(runs.map((run) => run.wall_s ?? 0));
  const virtual = `${withUnit(sum(runs.map((run) => run.virtual_s)), 's')} of virtual time`;
  return wall_s > 0 ? `${virtual} in ${withUnit(Number(wall_s.toPrecision(3)), 's')} of wall time` : virtual;
}

function lostFact(runs: readonly RunTold[]): Html {
  const lost_s = sum(runs.map((run) => run.lostTime_s));
  const late = sum(runs.map((run) => run.counters.late ?? 0));
  const note = late > 0 ? `${late} frames late` : 'no frame late';
  return fact('Lost time', withUnit(lost_s, 's'), note, lost_s > 0 || late > 0);
}

function invalidFact(runs: readonly RunTold[]): Html {
  const invalid = runs.filter(({ verdict }) => letterOf(verdict) === 'I').length;
  const lost = runs.filter(({ verdict }) => letterOf(verdict) === 'L').length;
  const not = runs.filter(({ verdict }) => letterOf(verdict) === 'N').length;
  const note = [...(lost > 0 ? [`controller lost in ${lost}`] : []), ...(not > 0 ? [`not run: ${not}`] : [])].join(
    ', ',
  );
  return fact('Invalid runs', `${invalid} of ${runs.length}`, note || 'no controller lost', invalid + lost + not > 0);
}

function checksFact(runs: readonly RunTold[]): Html {
  const checks = runs.flatMap((run) => run.checks);
  const of = (verdict: CheckTold['verdict']) => checks.filter((check) => check.verdict === verdict).length;
  const note = `${of('fail')} fail, ${of('not evaluated')} not evaluated`;
  return fact('Checks that hold', `${of('pass')} of ${checks.length}`, note, of('pass') < checks.length);
}

function leastFact(runs: readonly RunTold[]): Html {
  const least = leastRoom(runs);
  if (least === undefined || least.check.margin === null)
    return fact('Least room', 'not known', 'no check was evaluated');
  const { run, check } = least;
  const where = runs.length > 1 ? `, ${[run.title, ...(run.point.length > 0 ? [pointText(run)] : [])].join(', ')}` : '';
  return fact('Least room', withUnit(least.check.margin, check.unit), `${check.name}${where}`, least.check.margin < 0);
}

function trendFact(trends: Trends): Html {
  const [fails, passes, less, more, same, fresh] = (
    ['now fails', 'now passes', 'less', 'more', 'same', 'new'] as const
  ).map((move) => trends.count(move));
  const counts: [number, string][] = [
    [fails, 'now fail'],
    [passes, 'now pass'],
    [less, 'with less room'],
    [more, 'with more room'],
    [same, 'as before'],
    [fresh, 'new'],
    [trends.gone.length, 'no longer there'],
  ];
  const note = counts.filter(([count]) => count > 0).map(([count, what]) => `${count} ${what}`);
  const [way, word] =
    fails > 0
      ? (['down', 'now fails'] as const)
      : less > 0
        ? (['down', 'less room'] as const)
        : more > 0 || passes > 0
          ? (['up', 'more room'] as const)
          : (['same', 'as before'] as const);
  return fact('Against the baseline', html`${arrow(way)}${word}`, note.join(', '), fails > 0 || trends.gone.length > 0);
}

const sum = (values: readonly number[]): number => values.reduce((total, each) => total + each, 0);
export const distinct = (values: readonly string[]): string[] => [...new Set(values)].filter((each) => each !== '');
