/**
 * Both runs over each other as one SVG that needs nothing else. A is a solid line, B a dashed one; the band behind a line
 * reaches from the least to the greatest value of each column. Light or dark as the reader's system is.
 */
import { bandOf, clipped, lineOf, short } from '../report/curves.ts';
import { escaped } from '../report/escape.ts';
import { markText, type Scale, scaleOf } from '../report/scale.ts';
import { displayUnit, toDisplay } from '../units/convert.ts';
import { CHANNELS, type Channel, type Traces } from './compare-traces.ts';

export interface PlotSide {
  /** builtin:NAME, exec:CMD or tcp:HOST:PORT. */ readonly controller: string;
  /** How its run ended. */ readonly verdict: string;
  readonly traces: Traces;
}

export interface Plot {
  readonly title: string;
  /** What was run, one line. */ readonly about: string;
  readonly duration_s: number;
  /** From where to where the trigger was pressed [s]. */
  readonly presses: readonly { readonly from_s: number; readonly to_s?: number }[];
  readonly sides: readonly [PlotSide, PlotSide];
}

const WIDTH = 1000;
const LEFT = 84;
const RIGHT = 976;
const HEAD = 142;
const PANEL = 104;
const PITCH = 144;
const FOOT = 58;
/** Shorter runs have their time axis in milliseconds [s]. */
const IN_MS_BELOW_S = 0.5;
/** Share of the range that is kept free above and below. */
const MARGIN = 0.06;
const NAME_MOST = 96;

// Hues of the page; contrast against paper was computed there.
const STYLE = `
svg { color-scheme: light dark; --paper: #fbfcfa; --ink: #1a2226; --soft: #4b585e; --rule: #d9dfdd; --edge: #7c8a8f;
  --press: #eef1ee; --a: #00508f; --b: #c85000; background: var(--paper);
  font-family: system-ui, -apple-system, "Segoe UI", "Liberation Sans", "DejaVu Sans", sans-serif; font-size: 12px; }
@media (prefers-color-scheme: dark) {
  svg { --paper: #141a1e; --ink: #eef2ef; --soft: #a7b4b8; --rule: #2c373d; --edge: #6c7c83; --press: #1c252a;
    --a: #5aa9ee; --b: #f58b45; }
}
text { fill: var(--soft); font-variant-numeric: tabular-nums; }
.title { fill: var(--ink); font-size: 19px; font-weight: 600; }
.name { fill: var(--ink); font-size: 13px; }
.key { font-weight: 600; }
.end { text-anchor: end; }
.middle { text-anchor: middle; }
.rule { stroke: var(--rule); stroke-width: 1; fill: none; }
.zero { stroke: var(--edge); stroke-width: 1; fill: none; }
.press { fill: var(--press); }
.line { fill: none; stroke-width: 1.6; stroke-linejoin: round; stroke-linecap: butt; }
.band { stroke-width: 0.6; stroke-opacity: 0.7; fill-opacity: 0.16; stroke-linejoin: round; }
.a { stroke: var(--a); } .b { stroke: var(--b); stroke-dasharray: 7 4; }
.band.a { fill: var(--a); } .band.b { fill: var(--b); stroke-dasharray: none; }
`;

/** The picture as text. */
export function plotSvg(plot: Plot): string {
  const shown = CHANNELS.filter((channel) => plot.sides.some(({ traces }) => traces.pieces(channel).length > 0));
  const missing = CHANNELS.filter((channel) => !shown.includes(channel));
  const bottom = HEAD + (shown.length - 1) * PITCH + PANEL;
  const height = bottom + FOOT + (missing.length > 0 ? 16 : 0);
  const unit = plot.duration_s < IN_MS_BELOW_S ? 'ms' : 's';
  const time = scaleOf(0, toDisplay(plot.duration_s, unit), 9);
  const panels = shown.map((channel, k) => panel(plot, channel, HEAD + k * PITCH, time));
  const ticks = time.marks.map(
    (mark) =>
      `<text class="middle" x="${short(xOf(mark, time))}" y="${bottom + 18}">${markText(mark, time.places)}</text>`,
  );
  const gone = missing.map(({ title }) => `${title}: neither controller reports one`).join('; ');
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img">
<title>${escaped(plot.title)}</title>
<desc>A, ${escaped(plot.sides[0].controller)}, solid; B, ${escaped(plot.sides[1].controller)}, dashed; over virtual time.</desc>
<style>${STYLE}</style>
<rect width="${WIDTH}" height="${height}" fill="var(--paper)"/>
<text class="title" x="${LEFT}" y="36">${escaped(clipped(plot.title, 84))}</text>
<text x="${LEFT}" y="57">${escaped(plot.about)}</text>
${legend(plot)}
${panels.join('\n')}
${ticks.join('\n')}
<text class="middle" x="${(LEFT + RIGHT) / 2}" y="${bottom + 40}">virtual time [${unit}]</text>
${gone === '' ? '' : `<text x="${LEFT}" y="${height - 12}">${escaped(gone)}</text>\n`}</svg>
`;
}

function legend({ sides }: Plot): string {
  const rows = sides.map(({ controller, verdict }, k) => {
    const y = 82 + 20 * k;
    const side = k === 0 ? 'a' : 'b';
    const name = escaped(clipped(controller, NAME_MOST));
    return `<path class="line ${side}" d="M${LEFT} ${y - 4}h36"/><text class="name" x="${LEFT + 46}" y="${y}"><tspan class="key">${'AB'[k]}</tspan> ${name}<tspan fill="var(--soft)">, ${escaped(verdict)}</tspan></text>`;
  });
  const x = RIGHT - 186;
  return `${rows.join('\n')}
<rect class="press" x="${x}" y="71" width="26" height="14" stroke="var(--rule)"/><text x="${x + 34}" y="82">trigger pressed</text>
<rect class="band a" x="${x}" y="91" width="12" height="14"/><rect class="band b" x="${x + 14}" y="91" width="12" height="14"/><text x="${x + 34}" y="102">least to greatest, every tick</text>`;
}

/** One channel of both runs, with its axis. */
function panel(plot: Plot, channel: Channel, top: number, time: Scale): string {
  const pieces = plot.sides.map(({ traces }) => traces.pieces(channel));
  const all = pieces.flat(2);
  const scale = scaleOf(Math.min(...all.map((c) => c.least)), Math.max(...all.map((c) => c.greatest)), 4, MARGIN);
  const bottom = top + PANEL;
  const y = (value: number) => bottom - ((value - scale.low) / (scale.high - scale.low)) * PANEL;
  const frame = { x: xAt, y };
  const presses = plot.presses.map(({ from_s, to_s = plot.duration_s }) => {
    const [from, to] = [from_s, to_s].map((t) => LEFT + (t / plot.duration_s) * (RIGHT - LEFT));
    return `<rect class="press" x="${short(from)}" y="${top}" width="${short(to - from)}" height="${PANEL}"/>`;
  });
  const marks = scale.marks.map((mark) => {
    const kind = mark === 0 ? 'zero' : 'rule';
    const text = markText(mark, scale.places);
    return `<path class="${kind}" d="M${LEFT} ${short(y(mark))}H${RIGHT}"/><text class="end" x="${LEFT - 8}" y="${short(y(mark) + 4)}">${text}</text>`;
  });
  const upright = time.marks.map((mark) => `<path class="rule" d="M${short(xOf(mark, time))} ${top}v${PANEL}"/>`);
  const drawn = ['a', 'b'].flatMap((side, k) => pieces[k].map((piece) => bandOf(piece, side, frame)));
  const lines = ['a', 'b'].flatMap((side, k) => pieces[k].map((piece) => lineOf(piece, side, frame)));
  const unit = displayUnit(channel.unit) && channel.unit;
  return `<g>
${presses.join('')}
${upright.join('')}
${marks.join('\n')}
<text class="name" x="${LEFT}" y="${top - 9}">${channel.title} <tspan fill="var(--soft)">[${unit}]</tspan></text>
${[...drawn, ...lines].filter((text) => text !== '').join('\n')}
</g>`;
}

/** From a share of the run to the picture. */
const xAt = (share: number): number => LEFT + share * (RIGHT - LEFT);
const xOf = (mark: number, time: Scale): number => xAt(mark / time.high);
