/** Draws the run track: seconds of virtual time, the lowest and highest value under every pixel. */
import { displayUnit } from '../../src/units/convert.ts';
import { RUN_INDEX, type RunName } from '../../worker/block.ts';
import type { RunRecord } from '../session/run-record.ts';
import type { Palette } from '../waves/palette.ts';
import type { Pen } from '../waves/pen.ts';
import { type Layout, RUN_SPAN_S } from './layout.ts';
import { type Lane, yOf } from './scale.ts';

const MOST_PIXELS = 2400;
const upper = new Float32Array(MOST_PIXELS * 2);
const lower = new Float32Array(MOST_PIXELS * 2);
const span = new Float32Array(MOST_PIXELS * 3);
const zigzag = new Float32Array(MOST_PIXELS * 4);

/** Columns under pixel x; empty when time had not begun there. */
export function columnsAt(record: RunRecord, layout: Layout, x: number): readonly [number, number] {
  const perPixel = RUN_SPAN_S / record.column_s / layout.runEnd;
  // Anchored to absolute columns, so that a pixel keeps its columns while the paper moves.
  const end = Math.floor(record.endColumn / perPixel) * perPixel - (layout.runEnd - 1 - x) * perPixel;
  return [Math.max(record.firstColumn, Math.floor(end - perPixel)), Math.min(record.endColumn, Math.ceil(end))];
}

export class RunTrack {
  private pixels = 0;

  /**
   * Draws one channel into a lane. band: filled between the extremes, with both edges; mean: filled, with a line midway;
   * line: one stroke through all extremes; dash: estimated.
   */
  draw(
    pen: Pen,
    record: RunRecord,
    layout: Layout,
    lane: Lane,
    name: RunName,
    color: string,
    palette: Palette,
    style: 'band' | 'line' | 'dash' | 'mean',
  ): void {
    this.gather(record, layout, lane, name);
    if (style === 'band') {
      pen.band(span, this.pixels, palette.envelope);
      pen.line(upper, this.pixels, color, 1.3);
      pen.line(lower, this.pixels, color, 1.3);
    } else if (style === 'mean') {
      pen.band(span, this.pixels, palette.envelope);
      for (let k = 0; k < this.pixels; k++) upper[2 * k + 1] = (upper[2 * k + 1] + lower[2 * k + 1]) / 2;
      pen.line(upper, this.pixels, color, 1.8);
    } else if (style === 'dash') {
      for (let k = 0; k < this.pixels; k++) if (isGap(record, layout, k)) upper[2 * k + 1] = Number.NaN;
      pen.line(upper, this.pixels, color, 1.6);
    } else {
      pen.line(zigzag, this.pixels * 2, color, 1.7);
    }
  }

  private gather(record: RunRecord, layout: Layout, lane: Lane, name: RunName): void {
    const channel = RUN_INDEX[name];
    const { factor } = displayUnit(lane.row.unit);
    this.pixels = Math.min(MOST_PIXELS, layout.runEnd);
    for (let x = 0; x < this.pixels; x++) {
      const [from, to] = columnsAt(record, layout, x);
      let low = Number.POSITIVE_INFINITY;
      let high = Number.NEGATIVE_INFINITY;
      for (let c = from; c < to; c++) {
        low = Math.min(low, record.column(c, channel, 0));
        high = Math.max(high, record.column(c, channel, 1));
      }
      const known = high >= low;
      const yHigh = known ? yOf(lane, high / factor) : Number.NaN;
      const yLow = known ? yOf(lane, low / factor) : Number.NaN;
      upper[2 * x] = x;
      upper[2 * x + 1] = yHigh;
      lower[2 * x] = x;
      lower[2 * x + 1] = yLow;
      span[3 * x] = x;
      span[3 * x + 1] = known ? yHigh : lane.bottom;
      span[3 * x + 2] = known ? yLow : lane.bottom;
      // Every other pixel goes down instead of up, so that the stroke is one line without crossings.
      zigzag[4 * x] = x;
      zigzag[4 * x + 1] = x % 2 ? yHigh : yLow;
      zigzag[4 * x + 2] = x;
      zigzag[4 * x + 3] = x % 2 ? yLow : yHigh;
    }
  }
}

/** Dashes for what is estimated: 7 pixels on, 4 off, anchored to the paper. */
function isGap(record: RunRecord, layout: Layout, x: number): boolean {
  const moved = Math.floor((record.endColumn * record.column_s * layout.runEnd) / RUN_SPAN_S);
  return (x + moved) % 11 >= 7;
}
