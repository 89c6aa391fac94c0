/** Signals of runs over virtual time, those first that need a look. */
import { type Html, html } from '../html.ts';
import type { RunTold } from '../model.ts';
import { panelSvg } from '../panel.ts';
import type { Report, Watched } from '../report.ts';
import { chip, letterOf } from '../verdict.ts';
import { runName } from '../words.ts';
import { type Section, section } from './section.ts';

/** Most runs that are drawn; the others are named. */
const DRAWN = 8;

const NOTE =
  'Line: mean of each column of the picture; band: least to greatest of every tick. Red line: a limit over the window of its check, hatched where nothing may go, dashed where it has to be reached. Ring: the value that was judged; cross: one that failed. Gray: trigger pressed. Triangle and dashes: a fault begins, a stroke: it ends.';

export function plotsSection({ runs, watched }: Report): Section | undefined {
  const seen = runs.filter((run) => watched.has(run));
  if (seen.length === 0) return undefined;
  const order = [...seen.filter(notPassed), ...seen.filter((run) => !notPassed(run))].slice(0, DRAWN);
  const left = seen.length - order.length;
  const blocks = order.map((run) => block(run, runs.indexOf(run), watched.get(run) as Watched));
  const rest =
    left > 0 ? html`<p class="soft">${left} more runs are not drawn; each plays again by the line beside it.</p>` : '';
  return section('plots', 'Plots', NOTE, html`${blocks}${rest}`);
}

const notPassed = ({ verdict }: RunTold): boolean => verdict !== 'passed';

function block(run: RunTold, index: number, { watch, limits }: Watched): Html {
  const panels = watch.traces.channels.map((channel, k) => {
    const svg = panelSvg({
      channel,
      traces: watch.traces,
      duration_s: watch.duration_s,
      presses: watch.presses,
      faults: run.faults,
      limits: limits.get(channel.id) ?? [],
      checks: run.checks.filter(
        ({ signal, unit, take }) => signal === channel.id && unit === channel.unit && take !== 'mean',
      ),
      id: `p${index}-${k}`,
    });
    const unit = channel.unit === '' ? '' : ` [${channel.unit}]`;
    return svg && html`<figure><figcaption>${channel.title}<span>${unit}</span></figcaption>${svg}</figure>`;
  });
  const faults = run.faults.map(
    ({ fault, what, at_s }) => `${fault} ${what} at ${Number(at_s.toPrecision(4))} s, ${watch.stateText(at_s)}`,
  );
  return html`<div class="run"><h3>${chip(letterOf(run.verdict))} ${runName(run)}</h3>
${faults.length === 0 ? '' : html`<p class="small soft">Faults: ${faults.join('; ')}.</p>`}
<div class="plots">${panels}</div></div>`;
}
