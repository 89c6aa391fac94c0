/** What stands on the paper beside the traces: grid, times, what happened, marks 1 and 2, names and numbers of the lanes. */
import type { Mark } from '../../worker/api.ts';
import type { Palette } from '../waves/palette.ts';
import { timeAxis } from './axis.ts';
import type { Area, Lane } from './draw.ts';
import type { Trace } from './lanes.ts';
import { plain } from './numbers.ts';
import type { View } from './span.ts';
import { WORDS } from './words.ts';

/** All that the painting needs besides the lanes. */
export interface Sheet {
  readonly width: number;
  readonly height: number;
  readonly area: Area;
  /** Height of the strip of times at the bottom. */ readonly axis: number;
  /** Height of the strip above the lanes: what happened, marks 1 and 2. */ readonly strip: number;
  readonly rem: number;
  readonly family: string;
  readonly palette: Palette;
}

export interface Happened {
  readonly marks: readonly Mark[];
  /** Times at which the machine was too slow. */ readonly gaps: readonly (readonly [number, number])[];
  /** Marks 1 and 2. */ readonly cursors: readonly (number | undefined)[];
  /** The run ends here; nothing is known to the right of it. */ readonly end_s: number;
  /** Where the bench stands; before the end once it was put back. */ readonly now_s: number;
  /** Stretch before a condition that froze time. */ readonly before:
    | { readonly from_s: number; readonly to_s: number }
    | undefined;
}

const xAt = (area: Area, view: View, at_s: number): number =>
  area.left + ((at_s - view.from_s) / (view.to_s - view.from_s)) * area.width;

/** Everything that moves with time. */
export function paintMoving(
  g: CanvasRenderingContext2D,
  sheet: Sheet,
  lanes: readonly Lane[],
  view: View,
  { marks, gaps, cursors, end_s, now_s, before }: Happened,
): void {
  const { area, palette, rem } = sheet;
  const bottom = sheet.height - sheet.axis;
  const right = area.left + area.width;
  const axis = timeAxis(view.from_s, view.to_s, Math.max(2, Math.floor(area.width / (7.5 * rem))));
  g.font = `${0.92 * rem}px ${sheet.family}`;
  g.lineWidth = 1;
  g.strokeStyle = palette.rule;
  g.beginPath();
  for (const lane of lanes) {
    for (const mark of labeled(lane, rem)) {
      const y = crisp(yOf(lane, mark));
      g.moveTo(area.left, y);
      g.lineTo(right, y);
    }
  }
  for (const { at_s } of axis.ticks) {
    const x = crisp(xAt(area, view, at_s));
    g.moveTo(x, 0);
    g.lineTo(x, bottom);
  }
  g.stroke();

  if (before) shade(g, sheet, view, before.from_s, before.to_s, bottom);
  const end = xAt(area, view, end_s);
  if (end < right) hatch(g, end, 0, right - end, bottom, palette.rule);
  for (const [at_s] of gaps) {
    const x = xAt(area, view, at_s);
    if (x >= area.left && x <= right) tear(g, x, bottom, palette);
  }
  selection(g, sheet, view, cursors, bottom);
  happenings(g, sheet, view, marks, bottom);
  if (end_s > now_s) present(g, sheet, xAt(area, view, now_s), bottom);

  g.fillStyle = palette.paper;
  g.fillRect(0, bottom, sheet.width, sheet.axis);
  g.strokeStyle = palette.edge;
  g.lineWidth = 1;
  g.beginPath();
  g.moveTo(0, crisp(bottom));
  g.lineTo(sheet.width, crisp(bottom));
  for (const { at_s } of axis.ticks) {
    const x = crisp(xAt(area, view, at_s));
    g.moveTo(x, bottom);
    g.lineTo(x, bottom + 4);
  }
  g.stroke();
  g.fillStyle = palette.ink2;
  g.textBaseline = 'middle';
  const middle = bottom + sheet.axis / 2 + 2;
  const base = axis.base === '' ? 0 : g.measureText(axis.base).width + 0.9 * rem;
  g.textAlign = 'left';
  if (axis.base !== '') g.fillText(axis.base, 0.4 * rem, middle);
  g.textAlign = 'center';
  for (const { at_s, text } of axis.ticks) {
    const x = xAt(area, view, at_s);
    const half = g.measureText(text).width / 2;
    if (x - half > base && x + half < sheet.width) g.fillText(text, x, middle);
  }
}

/** Names, units and scales of the lanes. They change only when somebody picks, or a scale changes. */
export function paintStill(g: CanvasRenderingContext2D, sheet: Sheet, lanes: readonly Lane[]): void {
  const { palette, rem, area } = sheet;
  const text = `${0.92 * rem}px ${sheet.family}`;
  g.textBaseline = 'middle';
  for (const lane of lanes) {
    const { top } = lane.box;
    g.strokeStyle = palette.edge;
    g.lineWidth = 1;
    g.beginPath();
    g.moveTo(0, crisp(top));
    g.lineTo(sheet.width, crisp(top));
    g.stroke();
    const y = top + 0.8 * rem;
    g.font = `600 ${text}`;
    g.textAlign = 'right';
    g.fillStyle = palette.ink;
    g.fillText(lane.plan.unit, area.left - 0.45 * rem, y);
    let x = area.left + 0.5 * rem;
    g.textAlign = 'left';
    g.font = text;
    // Every stroke with its tag has room; names as long as there is some left. The table below has them all.
    let spare = sheet.width - x - lane.plan.traces.length * 3.45 * rem;
    for (const trace of lane.plan.traces) {
      const wide = g.measureText(trace.name).width + 1.1 * rem;
      const named = trace.tag === '' || wide <= spare;
      if (named) spare -= wide;
      x = nameOf(g, sheet, trace, x, y, text, named);
    }
    g.font = text;
    g.textAlign = 'right';
    g.fillStyle = palette.ink2;
    const shown = labeled(lane, rem);
    for (const mark of shown) g.fillText(plain(mark), area.left - 0.45 * rem, yOf(lane, mark));
  }
  g.strokeStyle = palette.edge;
  g.beginPath();
  g.moveTo(crisp(area.left), 0);
  g.lineTo(crisp(area.left), sheet.height - sheet.axis);
  g.stroke();
}

/** Letter and name of a trace behind a piece of its stroke; tells where the next one begins. */
function nameOf(
  g: CanvasRenderingContext2D,
  sheet: Sheet,
  trace: Trace,
  x: number,
  y: number,
  font: string,
  named: boolean,
): number {
  const { palette, rem } = sheet;
  const dash = { truth: [], estimated: [7, 4], sensed: [2.6, 3.4], commanded: [] }[trace.origin];
  g.strokeStyle = palette[trace.color];
  g.lineWidth = trace.origin === 'commanded' ? 1.1 : trace.origin === 'sensed' ? 2.6 : 2;
  g.setLineDash(dash);
  g.beginPath();
  const end = x + 1.7 * rem;
  if (trace.origin === 'commanded') {
    g.moveTo(x, y + 3);
    g.lineTo((x + end) / 2, y + 3);
    g.lineTo((x + end) / 2, y - 3);
    g.lineTo(end, y - 3);
  } else {
    g.moveTo(x, y);
    g.lineTo(end, y);
  }
  g.stroke();
  g.setLineDash([]);
  let at = end + 0.4 * rem;
  g.font = `600 ${font}`;
  g.fillStyle = palette.ink;
  if (trace.tag !== '') {
    chip(g, at + 0.5 * rem, y, trace.tag, palette[trace.color], palette, rem);
    at += 1.35 * rem;
  }
  g.font = font;
  g.textAlign = 'left';
  g.fillStyle = palette.ink;
  if (!named) return at;
  g.fillText(trace.name, at, y);
  return at + g.measureText(trace.name).width + 1.1 * rem;
}

/** Tags at the right end of the traces of lanes that hold several; pushed apart where they would lie on each other. */
export function paintTags(
  g: CanvasRenderingContext2D,
  sheet: Sheet,
  lanes: readonly Lane[],
  lastOf: (trace: Trace) => number,
): void {
  const { rem, palette, area } = sheet;
  g.font = `600 ${0.84 * rem}px ${sheet.family}`;
  g.textAlign = 'center';
  g.textBaseline = 'middle';
  for (const lane of lanes) {
    const tags = lane.plan.traces
      .filter(
        ({ tag, origin }, _, all) =>
          tag !== '' && !(origin === 'sensed' && all.some((t) => t.tag === tag && t.origin !== origin)),
      )
      .map((trace) => ({ trace, y: yOf(lane, (lastOf(trace) - trace.offset) / trace.factor) }))
      .filter(({ y }) => Number.isFinite(y))
      .sort((a, b) => a.y - b.y);
    const apart = 1.12 * rem;
    const { plotTop, plotBottom } = lane.box;
    if (tags.length * apart > plotBottom - plotTop + apart) continue; // the name line tells them apart as well
    let least = plotTop + apart / 2;
    tags.forEach((tag, k) => {
      const room = plotBottom - apart / 2 - (tags.length - 1 - k) * apart;
      tag.y = Math.min(Math.max(tag.y, least), room);
      least = tag.y + apart;
      chip(g, area.left + area.width - 0.9 * rem, tag.y, tag.trace.tag, palette[tag.trace.color], palette, rem);
    });
  }
}

function chip(
  g: CanvasRenderingContext2D,
  x: number,
  y: number,
  text: string,
  color: string,
  palette: Palette,
  rem: number,
): void {
  const half = 0.52 * rem;
  g.textAlign = 'center';
  g.fillStyle = palette.paper;
  g.strokeStyle = color;
  g.lineWidth = 1.5;
  g.fillRect(x - half, y - half, 2 * half, 2 * half);
  g.strokeRect(x - half, y - half, 2 * half, 2 * half);
  g.fillStyle = palette.ink;
  g.fillText(text, x, y + 1);
}

function happenings(
  g: CanvasRenderingContext2D,
  sheet: Sheet,
  view: View,
  marks: readonly Mark[],
  bottom: number,
): void {
  const { area, palette, rem } = sheet;
  const seen = marks
    .map((mark) => ({ ...mark, x: xAt(area, view, mark.at_s) }))
    .filter(({ x }) => x >= area.left && x <= area.left + area.width);
  for (const { kind, x } of seen) {
    if (kind === 'slow') continue; // the paper is torn there
    const grave = kind === 'trip' || kind === 'lost' || kind === 'freeze';
    if (kind === 'fault') {
      g.fillStyle = palette.tape;
      g.fillRect(x - 2, 0, 4, bottom);
    }
    g.strokeStyle = grave ? palette.ink : palette.edge;
    g.lineWidth = grave ? 1.6 : 1;
    g.setLineDash(grave ? [9, 3, 2, 3] : [3, 3]);
    g.beginPath();
    g.moveTo(crisp(x), 0);
    g.lineTo(crisp(x), bottom);
    g.stroke();
    g.setLineDash([]);
  }
  g.textAlign = 'left';
  g.textBaseline = 'middle';
  // What matters most is named first; what would lie on a name keeps its line alone.
  const taken: [from: number, to: number][] = [];
  const order = (kind: Mark['kind']) => (kind === 'deed' || kind === 'slow' ? 1 : 0);
  for (const { kind, words, x } of seen.sort((a, b) => order(a.kind) - order(b.kind))) {
    const wide = g.measureText(words).width + 0.6 * rem;
    const from = Math.min(x, area.left + area.width - wide);
    if (taken.some(([start, end]) => from < end && from + wide > start)) continue;
    taken.push([from, from + wide + 0.3 * rem]);
    const high = 0.65 * sheet.strip;
    g.fillStyle = kind === 'fault' ? palette.tape : palette.paper;
    g.fillRect(from, (sheet.strip - high) / 2, wide, high);
    g.fillStyle = kind === 'fault' ? ON_TAPE : palette.ink;
    g.fillText(words, from + 0.3 * rem, sheet.strip / 2 + 1);
  }
}
/** Tape is yellow by day and by night, and what stands on it is dark. */
const ON_TAPE = '#1a2226';

/** Marks 1 and 2, and the stretch between them. */
function selection(
  g: CanvasRenderingContext2D,
  sheet: Sheet,
  view: View,
  cursors: readonly (number | undefined)[],
  bottom: number,
): void {
  const { area, palette } = sheet;
  const [a, b] = cursors;
  if (a !== undefined && b !== undefined) shade(g, sheet, view, Math.min(a, b), Math.max(a, b), bottom);
  for (const at_s of cursors) {
    if (at_s === undefined) continue;
    const x = xAt(area, view, at_s);
    if (x < area.left || x > area.left + area.width) continue;
    g.strokeStyle = palette.ink;
    g.lineWidth = 1;
    g.beginPath();
    g.moveTo(crisp(x), 0);
    g.lineTo(crisp(x), bottom);
    g.stroke();
  }
}

/** A tint over a stretch of time. */
function shade(
  g: CanvasRenderingContext2D,
  { area, palette }: Sheet,
  view: View,
  from_s: number,
  to_s: number,
  bottom: number,
): void {
  const from = Math.max(area.left, xAt(area, view, from_s));
  const to = Math.min(area.left + area.width, xAt(area, view, to_s));
  if (to <= from) return;
  g.globalAlpha = 0.35;
  g.fillStyle = palette.envelope;
  g.fillRect(from, 0, to - from, bottom);
  g.globalAlpha = 1;
}

/** Where the bench stands, while more of the run is known. */
function present(g: CanvasRenderingContext2D, { area, palette, rem, strip }: Sheet, x: number, bottom: number): void {
  if (x < area.left || x > area.left + area.width) return;
  g.strokeStyle = palette.ink;
  g.lineWidth = 2;
  g.beginPath();
  g.moveTo(x, 0);
  g.lineTo(x, bottom);
  g.stroke();
  g.fillStyle = palette.ink;
  g.textAlign = 'right';
  g.fillText(WORDS.now, x - 0.35 * rem, strip / 2 + 1);
}

/** A torn edge where virtual time was lost. */
function tear(g: CanvasRenderingContext2D, x: number, bottom: number, palette: Palette): void {
  g.strokeStyle = palette.ink2;
  g.lineWidth = 1.4;
  g.beginPath();
  for (let y = 0, side = -1; y <= bottom; y += 6, side = -side) g.lineTo(x + 3 * side, y);
  g.stroke();
}

/** Nothing is known here. */
function hatch(g: CanvasRenderingContext2D, x: number, y: number, w: number, h: number, color: string): void {
  g.save();
  g.beginPath();
  g.rect(x, y, w, h);
  g.clip();
  g.strokeStyle = color;
  g.lineWidth = 1;
  g.beginPath();
  for (let k = x - h; k < x + w; k += 12) {
    g.moveTo(k, y + h);
    g.lineTo(k + h, y);
  }
  g.stroke();
  g.restore();
}

/** Height at which a shown value stands in its lane. */
export function yOf({ box, scale }: Lane, value: number): number {
  return box.plotBottom - ((value - scale.low) / (scale.high - scale.low)) * (box.plotBottom - box.plotTop);
}

/** Marks that get a number: all, or the outer two where they would touch. */
function labeled(lane: Lane, rem: number): readonly number[] {
  const { marks } = lane.scale;
  if (marks.length < 3) return marks;
  const apart = Math.abs(yOf(lane, marks[1]) - yOf(lane, marks[0]));
  if (apart >= 1.02 * rem) return marks;
  const ends = [marks[0], marks[marks.length - 1]];
  // Zero keeps its line where it lies well inside.
  const zero = marks.includes(0) && ends.every((end) => Math.abs(yOf(lane, 0) - yOf(lane, end)) >= 1.02 * rem);
  return zero ? [ends[0], 0, ends[1]] : ends;
}

const crisp = (x: number): number => Math.round(x) + 0.5;
