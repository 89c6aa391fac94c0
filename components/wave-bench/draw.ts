/** Draws the traces of all lanes with a pen, the run that it is compared with first and thin. */
import type { Palette } from '../waves/palette.ts';
import type { Pen } from '../waves/pen.ts';
import type { Scale } from './axis.ts';
import { type LaneBox, type LanePlan, type Trace, WIDTH } from './lanes.ts';
import { columnBoxes, DASH_COLUMNS, DOT_COLUMNS, dashes, dots, type Mapping, Path, valueLine } from './paths.ts';
import type { View } from './span.ts';

/** What there is to draw: answer of `look`, or of `detail` with the moment of each value. */
export interface Samples {
  readonly from_s: number;
  readonly to_s: number;
  readonly step_s: number;
  readonly kind: 'values' | 'spans';
  readonly data: readonly Float32Array[];
  readonly at_s?: Float32Array;
}

export interface Lane {
  readonly plan: LanePlan;
  readonly box: LaneBox;
  readonly scale: Scale;
}

/** Where the waves stand on the canvas [CSS px]. */
export interface Area {
  readonly left: number;
  readonly width: number;
}

const line = new Path(2);
const broken = new Path(2);
const boxes = new Path(3);
/** Single samples get a dot each once they stand this far apart [px]. */
const BEADS_PX = 9;

/** Puts the traces on the paper, which the pen has begun. */
export function drawTraces(
  pen: Pen,
  lanes: readonly Lane[],
  area: Area,
  view: View,
  samples: Samples | undefined,
  ghost: Samples | undefined,
  palette: Palette,
): void {
  for (const lane of lanes) {
    pen.clip(area.left, lane.box.plotTop - 2, area.width, lane.box.plotBottom - lane.box.plotTop + 4);
    if (ghost) for (const trace of lane.plan.traces) drawGhost(pen, lane, trace, area, view, ghost, palette);
    if (samples) for (const trace of lane.plan.traces) drawTrace(pen, lane, trace, area, view, samples, palette);
  }
}

/** Pixels of a trace: shown value = (SI - offset) / factor, laid over the scale of its lane. */
export function mappingOf(lane: Lane, trace: Trace, area: Area, view: View, from_s: number): Mapping {
  const { low, high } = lane.scale;
  const perUnit = (lane.box.plotBottom - lane.box.plotTop) / (high - low);
  const dx = area.width / (view.to_s - view.from_s);
  return {
    x0: area.left + (from_s - view.from_s) * dx,
    dx,
    y0: lane.box.plotBottom + (low + trace.offset / trace.factor) * perUnit,
    dy: -perUnit / trace.factor,
  };
}

/** First value in sight and the one after the last, with one more on each side. */
export function inSight(samples: Samples, view: View): readonly [number, number] {
  const { from_s, step_s, kind, at_s, data } = samples;
  const count = data.length === 0 ? 0 : kind === 'spans' ? data[0].length / 2 : data[0].length;
  if (at_s) return [0, count];
  const first = Math.max(0, Math.floor((view.from_s - from_s) / step_s) - 1);
  const end = Math.min(count, Math.ceil((view.to_s - from_s) / step_s) + 2);
  return [first, Math.max(first, end)];
}

function drawTrace(
  pen: Pen,
  lane: Lane,
  trace: Trace,
  area: Area,
  view: View,
  samples: Samples,
  palette: Palette,
): void {
  const data = samples.data[trace.place];
  if (!data) return;
  const map = mappingOf(lane, trace, area, view, samples.from_s);
  const [first, end] = inSight(samples, view);
  const color = palette[trace.color];
  const width = WIDTH[trace.origin];
  // How far the paper has gone: dashes and dots go along with it.
  const phase_px = view.from_s * map.dx - area.left;
  if (samples.kind === 'spans') {
    const dash =
      trace.origin === 'estimated'
        ? { ...DASH_COLUMNS, phase_px }
        : trace.origin === 'sensed'
          ? { ...DOT_COLUMNS, phase_px }
          : undefined;
    columnBoxes(data, first, end, samples.step_s, map, width, dash, boxes);
    pen.boxes(boxes.points, boxes.count, color);
    return;
  }
  valueLine(data, first, end, samples.step_s, samples.at_s, map, trace.stepped, line);
  if (trace.origin === 'sensed' && !trace.stepped) {
    dots(line, phase_px, broken);
    pen.dots(broken.points, broken.count, color, width);
  } else if (trace.origin === 'estimated') {
    dashes(line, phase_px, broken);
    pen.line(broken.points, broken.count, color, width);
  } else {
    pen.line(line.points, line.count, color, width);
    if (!samples.at_s && !trace.stepped && samples.step_s * map.dx >= BEADS_PX)
      pen.dots(line.points, line.count, color, 4);
  }
}

function drawGhost(pen: Pen, lane: Lane, trace: Trace, area: Area, view: View, ghost: Samples, palette: Palette): void {
  const data = ghost.data[trace.place];
  if (!data) return;
  const map = mappingOf(lane, trace, area, view, ghost.from_s);
  const [first, end] = inSight(ghost, view);
  if (ghost.kind === 'spans') {
    columnBoxes(data, first, end, ghost.step_s, map, 1, undefined, boxes);
    pen.boxes(boxes.points, boxes.count, palette.edge);
  } else {
    valueLine(data, first, end, ghost.step_s, ghost.at_s, map, trace.stepped, line);
    pen.line(line.points, line.count, palette.edge, 1);
  }
}

/** Lowest and highest in sight of a lane, in its unit; low above high where there is nothing. */
export function reachOf(plan: LanePlan, view: View, all: readonly (Samples | undefined)[]) {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const samples of all) {
    if (!samples) continue;
    const [first, end] = inSight(samples, view);
    const each = samples.kind === 'spans' ? 2 : 1;
    for (const { place, factor, offset } of plan.traces) {
      const data = samples.data[place];
      if (!data) continue;
      let least = Number.POSITIVE_INFINITY;
      let most = Number.NEGATIVE_INFINITY;
      for (let k = first * each; k < end * each; k++) {
        if (data[k] < least) least = data[k];
        if (data[k] > most) most = data[k];
      }
      low = Math.min(low, (least - offset) / factor);
      high = Math.max(high, (most - offset) / factor);
    }
  }
  return { low, high };
}
