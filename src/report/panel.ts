/**
 * One signal of a run over virtual time as an SVG of its own: axes, unit, the limits of its checks over their windows with
 * the forbidden side hatched, the value that was judged, presses of the trigger, begin and end of faults.
 */
import { bandOf, type Frame, lineOf, short } from './curves.ts';
import { escaped } from './escape.ts';
import { type Html, raw } from './html.ts';
import type { CheckTold, FaultTold } from './model.ts';
import { markText, type Scale, scaleOf } from './scale.ts';
import type { Channel, ChannelTraces, Column } from './traces.ts';
import type { LimitLine, Press } from './watch.ts';

const WIDTH = 460;
const HEIGHT = 186;
const LEFT = 54;
const RIGHT = 450;
const TOP = 20;
const BOTTOM = 150;
/** Runs shorter than this have their time axis in milliseconds [s]. */
const IN_MS_BELOW_S = 0.5;
/** Share of the range that is kept free above and below. */
const MARGIN = 0.08;
/** A limit farther away than this many ranges of the trace would flatten the trace: it is named at the edge instead. */
const FAR = 3;
/** A trace belongs to a side of zero when it reaches at least this part of what it reaches on the other. */
const SIDE = 10;
/** Depth of the hatching on the forbidden side. */
const HATCH = 9;

export interface PanelFacts {
  readonly channel: Channel;
  readonly traces: ChannelTraces;
  readonly duration_s: number;
  readonly presses: readonly Press[];
  readonly faults: readonly FaultTold[];
  readonly limits: readonly LimitLine[];
  /** Checks of this signal, in its unit. */ readonly checks: readonly CheckTold[];
  /** Unique in the file. */ readonly id: string;
}

/** undefined when the signal had no reading. */
export function panelSvg(facts: PanelFacts): Html | undefined {
  const { channel, traces, duration_s, presses, faults, limits, checks, id } = facts;
  const pieces = traces.pieces(channel);
  if (pieces.length === 0) return undefined;
  const columns = pieces.flat();
  const [least, greatest] = [Math.min(...columns.map((c) => c.least)), Math.max(...columns.map((c) => c.greatest))];
  const reach = FAR * Math.max(greatest - least, Math.abs(greatest) * 0.1, Math.abs(least) * 0.1);
  const sides = limits.filter(
    ({ sign }) => sign === 0 || (sign > 0 ? greatest > -least / SIDE : -least > greatest / SIDE),
  );
  const near = sides.filter(({ limit }) => limit >= least - reach && limit <= greatest + reach);
  const far = sides.filter((each) => !near.includes(each));
  const values = near.map(({ limit }) => limit);
  const scale = scaleOf(Math.min(least, ...values), Math.max(greatest, ...values), 4, MARGIN);
  const ms = duration_s < IN_MS_BELOW_S;
  const time = scaleOf(0, ms ? duration_s * 1000 : duration_s, 6);
  const x = (share: number) => LEFT + share * (RIGHT - LEFT);
  const y = (value: number) => BOTTOM - ((value - scale.low) / (scale.high - scale.low)) * (BOTTOM - TOP);
  const frame: Frame = { x, y };
  const at = (t_s: number) => x(Math.min(1, Math.max(0, t_s / duration_s)));
  const unit = channel.unit === '' ? '' : ` [${channel.unit}]`;
  return raw(`<svg class="plot" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-labelledby="${id}-t">
<title id="${id}-t">${escaped(`${channel.title}${unit} over virtual time`)}</title>
<defs><pattern id="${id}-h" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path class="hatch" d="M0 0V6"/></pattern></defs>
${presses.map(({ from_s, to_s }) => `<rect class="press" x="${short(at(from_s))}" y="${TOP}" width="${short(at(to_s) - at(from_s))}" height="${BOTTOM - TOP}"/>`).join('')}
${axis(scale, time, frame, ms)}
${pieces.map((piece) => bandOf(piece, 'a', frame)).join('')}${pieces.map((piece) => lineOf(piece, 'a', frame)).join('')}
${near.map((line) => limitShape(line, frame, at, `${id}-h`)).join('')}
${faultMarks(faults, at)}
${checks.map((check) => valueMark(signed(check, columns, duration_s), frame, at, scale)).join('')}
${farNote(far, channel.unit)}</svg>`);
}

function axis(scale: Scale, time: Scale, { x, y }: Frame, ms: boolean): string {
  const rows = scale.marks.map((mark) => {
    const at = short(y(mark));
    return `<path class="${mark === 0 ? 'zero' : 'rule'}" d="M${LEFT} ${at}H${RIGHT}"/><text class="end" x="${LEFT - 6}" y="${short(y(mark) + 4)}">${markText(mark, scale.places)}</text>`;
  });
  const marks = time.marks.map((mark) => {
    const at = short(x(mark / time.high));
    return `<path class="rule" d="M${at} ${BOTTOM}v4"/><text class="middle" x="${at}" y="${BOTTOM + 16}">${markText(mark, time.places)}</text>`;
  });
  return `${rows.join('')}<path class="edge" d="M${LEFT} ${BOTTOM}H${RIGHT}"/>${marks.join('')}<text class="middle" x="${(LEFT + RIGHT) / 2}" y="${HEIGHT - 4}">virtual time [${ms ? 'ms' : 's'}]</text>`;
}

function limitShape(line: LimitLine, { y }: Frame, at: (t_s: number) => number, hatch: string): string {
  const { bound, kind, limit, from_s, to_s } = line;
  const [from, to] = [at(from_s), Math.max(at(from_s) + 2, at(to_s))];
  const height = y(limit);
  const stroke = `<path class="limitline ${kind}" d="M${short(from)} ${short(height)}H${short(to)}"/>`;
  if (kind === 'reach') return stroke;
  const [top, bottom] = bound === 'at most' ? [height - HATCH, height] : [height, Math.min(BOTTOM, height + HATCH)];
  return `<rect x="${short(from)}" y="${short(top)}" width="${short(to - from)}" height="${short(bottom - top)}" fill="url(#${hatch})"/>${stroke}`;
}

/** Marks of faults stand above the panel: a triangle where it begins, a bar where it ends. */
function faultMarks(faults: readonly FaultTold[], at: (t_s: number) => number): string {
  return faults
    .map(({ at_s, what }) => {
      const x = short(at(at_s));
      const head =
        what === 'begins'
          ? `<path class="fault" d="M${x} ${TOP}l-5 -8h10z"/>`
          : `<path class="fault" d="M${x} ${TOP - 1}v-7"/>`;
      return `<path class="faultline" d="M${x} ${TOP}V${BOTTOM}"/>${head}`;
    })
    .join('');
}

/** A peak is told without its sign: the trace knows on which side of zero it was. */
function signed(check: CheckTold, columns: readonly Column[], duration_s: number): CheckTold {
  const { take, value, at_s } = check;
  if (take !== 'peak' || value === null || at_s === null) return check;
  const share = at_s / duration_s;
  const nearest = columns.reduce((best, each) => (Math.abs(each.at - share) < Math.abs(best.at - share) ? each : best));
  const below = Math.abs(nearest.least + value) < Math.abs(nearest.greatest - value);
  return below ? { ...check, value: -value } : check;
}

function valueMark(
  { value, at_s, verdict }: CheckTold,
  { y }: Frame,
  at: (t_s: number) => number,
  scale: Scale,
): string {
  if (value === null || at_s === null || value < scale.low || value > scale.high) return '';
  const [cx, cy] = [at(at_s), y(value)];
  if (verdict === 'fail') return `<path class="mark f" d="M${short(cx - 4)} ${short(cy - 4)}l8 8m0 -8l-8 8"/>`;
  return `<circle class="mark ${verdict === 'pass' ? 'p' : 'n'}" cx="${short(cx)}" cy="${short(cy)}" r="3.4"/>`;
}

function farNote(far: readonly LimitLine[], unit: string): string {
  if (far.length === 0) return '';
  const list = far.map(({ bound, limit }) =>
    `${bound} ${markText(limit, Number.isInteger(limit) ? 0 : 2)} ${unit}`.trim(),
  );
  return `<text class="end" x="${RIGHT}" y="${TOP - 8}">${escaped(`limit beyond the picture: ${list.join(', ')}`)}</text>`;
}
