/**
 * Paints what lies under the waves: grid lines, times, and the sawn board. The board is seen from the drill, so its
 * upper edge is the screw depth and it climbs as the screw goes in; slat and leg climb with it.
 */
import { SIGNAL_INDEX } from '../../src/signals.ts';
import { RUN_INDEX, TICK_INDEX } from '../../worker/block.ts';
import type { RunRecord } from '../session/run-record.ts';
import { ROWS, SLAT_MM } from '../style/rows.ts';
import type { Palette } from '../waves/palette.ts';
import type { CloseUp } from './close-up.ts';
import { CLOSE_TICKS, type Layout, laneOf, prefersCloseUp, RUN_SPAN_S } from './layout.ts';
import { columnsAt } from './run-track.ts';
import { asClose, type Lane, yOf } from './scale.ts';

/** Horizontal step of the wood [px]: finer cannot be seen. */
const STEP_PX = 2;
/** Depth of the grain lines under the edge [mm]; their rhythm is that of summer and winter wood. */
const PINE_GRAIN = [2.2, 4.1, 7.4, 9.3, 12.6, 15, 18.4, 20.2, 23.7, 25.8];
const LARCH_GRAIN = [29.4, 31, 32.2, 34.7, 36, 37.1, 39.8, 41, 43.6, 45, 46.1, 49, 51.2, 54, 57.5, 60, 64, 68, 72, 77];

interface Edge {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly t: Float64Array;
  count: number;
}
const edge: Edge = { x: new Float32Array(2400), y: new Float32Array(2400), t: new Float64Array(2400), count: 0 };

/** Grid of every lane and the strip of times. */
export function paintGrid(g: CanvasRenderingContext2D, layout: Layout, lanes: readonly Lane[], palette: Palette): void {
  g.lineWidth = 1;
  g.strokeStyle = palette.rule;
  g.beginPath();
  for (const lane of lanes) {
    if (lane.row.id === 'depth') continue;
    const only = !layout.both && prefersCloseUp(lane.row.id);
    if (!only) rule(g, lane, 0, layout.both ? layout.runEnd : layout.width);
    if (layout.both || only) rule(g, asClose(lane), layout.closeStart, layout.width);
  }
  for (const row of ROWS.slice(1)) {
    const y = Math.round(row.from * layout.height) + 0.5;
    g.moveTo(0, y);
    g.lineTo(layout.width, y);
  }
  g.stroke();
}

/** Lines at the marks of a lane between two places. */
function rule(g: CanvasRenderingContext2D, lane: Lane, from: number, to: number): void {
  for (const mark of lane.scale.marks) {
    const y = Math.round(yOf(lane, mark)) + 0.5;
    g.moveTo(from, y);
    g.lineTo(to, y);
  }
}

/** The board over the run track and, with room, over the close-up. */
export function paintBoard(g: CanvasRenderingContext2D, layout: Layout, record: RunRecord, palette: Palette): void {
  const { top } = laneOf(layout, ROWS.length - 1);
  g.save();
  g.beginPath();
  g.rect(0, top - layout.rem, layout.width, layout.height);
  g.clip();
  const channel = RUN_INDEX.screwDepth;
  const seconds = record.endColumn * record.column_s;
  edge.count = 0;
  for (let x = 0; x <= layout.runEnd + STEP_PX; x += STEP_PX) {
    const [from, to] = columnsAt(record, layout, Math.min(x, layout.runEnd - 1));
    const depth_m = to > from ? record.column(to - 1, channel, 1) : Number.NaN;
    put(
      layout,
      palette,
      g,
      Math.min(x, layout.runEnd),
      depth_m,
      seconds - ((layout.runEnd - x) / layout.runEnd) * RUN_SPAN_S,
    );
  }
  // Under the throat the board goes on as it is now.
  if (layout.both && edge.count > 0)
    put(layout, palette, g, layout.closeStart, record.now[SIGNAL_INDEX.screwDepth], seconds);
  flush(layout, palette, g);
  // Not the still that the waves show: the board has no rotor angle to stand still at, and joins both neighbors.
  if (layout.both) {
    const width = layout.width - layout.closeStart;
    const last = record.endTick - 1;
    for (let k = last - CLOSE_TICKS; k < record.endTick + 4; k += 4) {
      const tick = Math.min(k, last);
      if (tick < record.firstTick) continue;
      const x = layout.closeStart + width * (1 - (last - tick) / CLOSE_TICKS);
      put(layout, palette, g, x, record.tick(tick, TICK_INDEX.screwDepth), seconds + (x - layout.width) / 90);
    }
    flush(layout, palette, g);
  }
  g.restore();
}

/** Times under the board: seconds of the run, milliseconds before now. */
export function paintTimes(
  g: CanvasRenderingContext2D,
  layout: Layout,
  record: RunRecord,
  closeUp: CloseUp,
  palette: Palette,
  font: string,
): void {
  const y = layout.height - layout.axis;
  g.fillStyle = palette.paper;
  g.fillRect(0, y, layout.width, layout.axis);
  g.strokeStyle = palette.edge;
  g.lineWidth = 1;
  g.beginPath();
  g.moveTo(0, y + 0.5);
  g.lineTo(layout.width, y + 0.5);
  g.font = font;
  g.textAlign = 'center';
  g.textBaseline = 'middle';
  g.fillStyle = palette.ink2;
  const now_s = record.endColumn * record.column_s;
  const middle = y + layout.axis / 2 + 2;
  const every_s = layout.runEnd > 300 ? 1 : 2;
  for (let s = Math.ceil(Math.max(0, now_s - RUN_SPAN_S) / every_s) * every_s; s <= now_s; s += every_s) {
    const x = layout.runEnd * (1 - (now_s - s) / RUN_SPAN_S);
    g.moveTo(x, y);
    g.lineTo(x, y + 5);
    if (x > 1.3 * layout.rem && x < layout.runEnd - 1.3 * layout.rem) g.fillText(`${s} s`, x, middle);
  }
  if (layout.both) {
    const perMs = 1e-3 / record.tick_s;
    for (let ms = 2; ms * perMs < CLOSE_TICKS; ms += 2) {
      const x = closeUp.x(layout, closeUp.end - 1 - ms * perMs);
      g.moveTo(x, y);
      g.lineTo(x, y + 5);
      g.fillText(`\u2212${ms} ms`, x, middle);
    }
  }
  g.stroke();
}

function put(
  layout: Layout,
  palette: Palette,
  g: CanvasRenderingContext2D,
  x: number,
  depth_m: number,
  time_s: number,
): void {
  if (!(depth_m >= 0 && depth_m < 1)) {
    flush(layout, palette, g);
    return;
  }
  edge.x[edge.count] = x;
  edge.y[edge.count] = layout.tipY - depth_m * 1000 * layout.perMm;
  edge.t[edge.count++] = time_s;
}

function flush(layout: Layout, palette: Palette, g: CanvasRenderingContext2D): void {
  const { x, y, count } = edge;
  if (count > 1) {
    const slat = SLAT_MM * layout.perMm;
    fillFrom(g, layout, 0, palette.pine);
    fillFrom(g, layout, slat, palette.larch);
    grain(g, layout, PINE_GRAIN, palette['pine-grain'], 1);
    grain(g, layout, LARCH_GRAIN, palette['larch-grain'], 1.15);
    g.strokeStyle = palette.ink;
    for (const [offset, width] of [
      [slat, 1],
      [0, 2],
    ]) {
      g.lineWidth = width;
      g.beginPath();
      for (let k = 0; k < count; k++) g.lineTo(x[k], y[k] + offset);
      g.stroke();
    }
  }
  edge.count = 0;
}

function fillFrom(g: CanvasRenderingContext2D, layout: Layout, offset: number, color: string): void {
  const { x, y, count } = edge;
  g.fillStyle = color;
  g.beginPath();
  g.moveTo(x[0], layout.height);
  for (let k = 0; k < count; k++) g.lineTo(x[k], y[k] + offset);
  g.lineTo(x[count - 1], layout.height);
  g.fill();
}

/** Lines that follow the edge with a slow wander; the wander belongs to the time, so that it moves with the paper. */
function grain(
  g: CanvasRenderingContext2D,
  layout: Layout,
  depths: readonly number[],
  color: string,
  width: number,
): void {
  const { x, y, t, count } = edge;
  g.strokeStyle = color;
  for (const [k, depth] of depths.entries()) {
    g.lineWidth = k % 3 === 1 ? width * 1.7 : width * 0.8;
    g.globalAlpha = k % 3 === 1 ? 0.55 : 0.8;
    g.beginPath();
    for (let step = 0; step < count + 1; step += 2) {
      const j = Math.min(step, count - 1);
      const wander_mm = 0.45 * Math.sin(1.1 * t[j] + 1.7 * k) + 0.22 * Math.sin(2.9 * t[j] + 0.6 * k * k);
      g.lineTo(x[j], y[j] + (depth + wander_mm) * layout.perMm);
    }
    g.stroke();
  }
  g.globalAlpha = 1;
}
