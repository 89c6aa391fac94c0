/** One signal of a run as a drawing: least to greatest as a band, the mean as a line, limits, faults; a second run dashed over it. */
import { html, nothing, svg } from 'lit';
import type { FaultMet, Plot } from '../../worker/api.ts';
import { timeText, withUnit } from './numbers.ts';
import { WORDS } from './words.ts';

const WIDE = 400;
const HIGH = 100;
const ROOM = 4;
/** Numbers of a column: moment, least, greatest, mean. */
const EACH = 4;

interface Scale {
  readonly x: (at_s: number) => number;
  readonly y: (value: number) => number;
  readonly low: number;
  readonly high: number;
}

export function runPlot(plot: Plot, virtual_s: number, faults: readonly FaultMet[], other?: Plot) {
  const scale = scaleOf([plot, ...(other ? [other] : [])], virtual_s);
  const { x, y, low, high } = scale;
  const name = WORDS.plotName(plot.title, withUnit(low, plot.unit), withUnit(high, plot.unit));
  return html`<figure>
    <figcaption><b>${WORDS.plot(plot.title, plot.unit)}</b><span class="dim">${withUnit(low, plot.unit)} … ${withUnit(high, plot.unit)}, 0 … ${timeText(virtual_s)}</span></figcaption>
    <svg viewBox="0 0 ${WIDE} ${HIGH}" preserveAspectRatio="none" role="img" aria-label=${name}>
      ${low < 0 && high > 0 ? svg`<line class="zero" x1="0" x2=${WIDE} y1=${y(0)} y2=${y(0)} />` : nothing}
      ${faults.map(({ at_s }) => svg`<line class="fault" x1=${x(at_s)} x2=${x(at_s)} y1="0" y2=${HIGH} />`)}
      ${tracks(plot, scale)}
      ${other ? svg`<g class="other">${tracks(other, scale)}</g>` : nothing}
      ${plot.limits.map(({ limit, from_s, to_s }) => svg`<line class="limit" x1=${x(from_s)} x2=${x(Math.min(to_s, virtual_s))} y1=${y(limit)} y2=${y(limit)} />`)}
    </svg>
  </figure>`;
}

/** Limits belong to the picture, unless they are so far away that nothing else could be seen. */
function scaleOf(plots: readonly Plot[], virtual_s: number): Scale {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const { columns } of plots) {
    for (let k = 0; k < columns.length; k += EACH) {
      if (columns[k + 1] < low) low = columns[k + 1];
      if (columns[k + 2] > high) high = columns[k + 2];
    }
  }
  if (low > high) [low, high] = [0, 1];
  const reach = high - low || Math.abs(high) || 1;
  for (const { limit } of plots[0].limits) {
    if (limit < low && limit > low - 2 * reach) low = limit;
    if (limit > high && limit < high + 2 * reach) high = limit;
  }
  const size = high - low || 1;
  return {
    low,
    high,
    x: (at_s) => (at_s / virtual_s) * WIDE,
    y: (value) => Math.min(HIGH + 1, Math.max(-1, HIGH - ROOM - ((value - low) / size) * (HIGH - 2 * ROOM))),
  };
}

function tracks({ columns }: Plot, { x, y }: Scale) {
  const pieces: number[][] = [[]];
  for (let k = 0; k < columns.length; k += EACH) {
    if (Number.isNaN(columns[k])) pieces.push([]);
    else pieces[pieces.length - 1].push(k);
  }
  const point = (k: number, of: number) => `${x(columns[k]).toFixed(2)} ${y(columns[k + of]).toFixed(2)}`;
  return pieces
    .filter((piece) => piece.length > 0)
    .map((piece) => {
      const upper = piece.map((k) => point(k, 2));
      const lower = piece.map((k) => point(k, 1)).reverse();
      return svg`<path class="band" d="M${[...upper, ...lower].join('L')}Z" /><path class="mean" d="M${piece.map((k) => point(k, 3)).join('L')}" />`;
    });
}
