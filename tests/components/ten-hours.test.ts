/**
 * A trace ten hours into a run stands on the same pixels as the same trace at its start: what a pen is given is counted from the
 * window, and only tick numbers and doubles lead there. A float32 knows a moment at 10 h to 4 ms, which is half of the close-up.
 */
import { describe, expect, it } from 'vitest';
import { CloseUp } from '../../components/record-view/close-up.ts';
import { laneOf, layOut } from '../../components/record-view/layout.ts';
import { RunTrack } from '../../components/record-view/run-track.ts';
import { asClose, chooseScale, type Lane } from '../../components/record-view/scale.ts';
import { drawLanes } from '../../components/record-view/traces.ts';
import { RunRecord } from '../../components/session/run-record.ts';
import { ROWS } from '../../components/style/rows.ts';
import { drawTraces, type Lane as WaveLane } from '../../components/wave-bench/draw.ts';
import type { Palette } from '../../components/waves/palette.ts';
import type { Pen } from '../../components/waves/pen.ts';
import {
  BLOCK_BYTES,
  blockViews,
  HEAD_INDEX,
  MAX_COLUMNS,
  MAX_TICKS,
  RUN,
  RUN_COLUMN_TICKS,
  TICK,
} from '../../worker/block.ts';

const PWM_HZ = 20_000;
const TEN_HOURS_S = 36_000;
/** Far below a pixel: a difference of two moments at 10 h in double precision is known to 1e-11 s, times pixels a second. */
const PIXEL = 0.01;

/** Takes down every corner that is drawn, stroke by stroke. */
class NotingPen implements Pen {
  readonly kind = 'flat';
  readonly strokes: { how: string; corners: number[] }[] = [];
  resize(): void {}
  begin(): void {}
  clip(): void {}
  dispose(): void {}
  line(points: Float32Array, count: number): void {
    this.strokes.push({ how: 'line', corners: [...points.subarray(0, 2 * count)] });
  }
  dots(points: Float32Array, count: number): void {
    this.strokes.push({ how: 'dots', corners: [...points.subarray(0, 2 * count)] });
  }
  boxes(points: Float32Array, count: number): void {
    this.strokes.push({ how: 'boxes', corners: [...points.subarray(0, 3 * count)] });
  }
  band(points: Float32Array, count: number): void {
    this.strokes.push({ how: 'band', corners: [...points.subarray(0, 3 * count)] });
  }
}

/** The largest distance between two drawings [px], infinite when they have other strokes. */
function apart(one: NotingPen, other: NotingPen): number {
  if (one.strokes.length !== other.strokes.length) return Number.POSITIVE_INFINITY;
  let most = 0;
  one.strokes.forEach(({ how, corners }, k) => {
    const there = other.strokes[k];
    if (there.how !== how || there.corners.length !== corners.length) most = Number.POSITIVE_INFINITY;
    for (let j = 0; j < corners.length; j++) {
      const both = Number.isNaN(corners[j]) && Number.isNaN(there.corners[j]);
      if (!both) most = Math.max(most, Math.abs(corners[j] - (there.corners[j] ?? Number.NaN)));
      if (Number.isNaN(most)) most = Number.POSITIVE_INFINITY;
    }
  });
  return most;
}

const palette = new Proxy({}, { get: () => '#000000' }) as Palette;

/** Something of every channel, told by how long ago it was and not by when. */
const wave = (ago: number, channel: number): number => Math.sin(ago / 23 + channel) * (channel + 1);

/** The record of a run whose last tick has this number; @returns what is drawn of it */
function recordDrawn(endTick: number): NotingPen {
  const record = new RunRecord(PWM_HZ);
  const endColumn = Math.floor(endTick / RUN_COLUMN_TICKS);
  const blocks = 15;
  for (let b = 0; b < blocks; b++) {
    const block = blockViews(new ArrayBuffer(BLOCK_BYTES));
    const firstColumn = endColumn - (blocks - b) * MAX_COLUMNS;
    const last = b === blocks - 1;
    block.head[HEAD_INDEX.epoch] = 1;
    block.head[HEAD_INDEX.firstColumn] = firstColumn;
    block.head[HEAD_INDEX.columns] = MAX_COLUMNS;
    block.head[HEAD_INDEX.firstTick] = endTick - MAX_TICKS;
    block.head[HEAD_INDEX.ticks] = last ? MAX_TICKS : 0;
    for (let k = 0; k < MAX_COLUMNS; k++)
      for (let j = 0; j < RUN.length; j++) {
        const value = wave(endColumn - firstColumn - k, j);
        block.run[(k * RUN.length + j) * 2] = value - 1;
        block.run[(k * RUN.length + j) * 2 + 1] = value + 1;
      }
    for (let k = 0; k < MAX_TICKS; k++)
      for (let j = 0; j < TICK.length; j++) block.ticks[k * TICK.length + j] = wave(MAX_TICKS - k, j);
    record.absorb(block);
  }
  const layout = layOut(900, 600, 14);
  const lanes: Lane[] = ROWS.map((row, k) => {
    const scale = chooseScale(row, -20, 20);
    return { row, ...laneOf(layout, k), scale, close: scale };
  });
  const pen = new NotingPen();
  const closeUp = new CloseUp();
  closeUp.aim(record, false);
  drawLanes(pen, record, layout, lanes.map(asClose), new RunTrack(), closeUp, palette);
  return pen;
}

/**
 * Waves over a window that begins at a moment.
 *
 * @param step_s from one value to the next; @param told_s the moment as the samples tell it
 */
function wavesDrawn(from_s: number, step_s: number, kind: 'values' | 'spans', told_s = from_s): NotingPen {
  const origin = 'truth';
  const lane = {
    plan: { key: 'A', unit: 'A', traces: [{ place: 0, factor: 1, offset: 0, color: 'a', origin, stepped: false }] },
    box: { top: 0, height: 200, plotTop: 20, plotBottom: 190 },
    scale: { low: -3, high: 3, marks: [-3, 0, 3] },
  } as unknown as WaveLane;
  const count = 400;
  const data = Float32Array.from({ length: kind === 'spans' ? 2 * count : count }, (_, k) =>
    kind === 'spans' ? wave(k >> 1, 0) + (k % 2) : wave(k, 0),
  );
  const pen = new NotingPen();
  const view = { live: false, from_s: from_s + 20.37 * step_s, to_s: from_s + 300.81 * step_s };
  const samples = { from_s: told_s, to_s: told_s + count * step_s, step_s, kind, data: [data] };
  drawTraces(pen, [lane], { left: 70, width: 830 }, view, samples, undefined, palette);
  return pen;
}

describe('ten hours into a run', () => {
  // A whole number of dashes, dots and columns: what is drawn must be the same, not only alike.
  const later = TEN_HOURS_S * PWM_HZ;

  it.each([200_000, 200_001, 212_345])('the record whose last tick is %i stands where it stood', (tick) => {
    const [start, end] = [recordDrawn(tick), recordDrawn(tick + later)];
    expect(start.strokes.length).toBeGreaterThan(15);
    const corners = start.strokes.reduce((sum, stroke) => sum + stroke.corners.length, 0);
    expect(corners).toBeGreaterThan(5000);
    const close = (pen: NotingPen) => {
      const only = new NotingPen();
      only.strokes.push(...pen.strokes.filter(({ corners: [x] }) => x >= 500));
      return only;
    };
    expect(close(start).strokes.length).toBeGreaterThan(8);
    expect(apart(close(start), close(end))).toBeLessThan(PIXEL);
  });

  it('the run track keeps its columns: a wave is at most one pixel from where it stood', () => {
    const heights = (pen: NotingPen) => pen.strokes.find(({ corners: [x] }) => x === 0)?.corners ?? [];
    const [start, end] = [heights(recordDrawn(200_000)), heights(recordDrawn(200_000 + later))];
    expect(start.length).toBeGreaterThan(500);
    expect(end.length).toBe(start.length);
    // The pixel that a column falls to may be the neighbor, so a height is compared with those beside it.
    for (let k = 12; k < start.length - 12; k += 2) {
      const beside = [-8, -4, 0, 4, 8].map((d) => start[k + 1 + d]);
      expect(end[k]).toBe(start[k]);
      expect(end[k + 1]).toBeGreaterThanOrEqual(Math.min(...beside) - PIXEL);
      expect(end[k + 1]).toBeLessThanOrEqual(Math.max(...beside) + PIXEL);
    }
  });

  it.each([
    ['every period', 50e-6, 'values'],
    ['single microseconds', 1e-6, 'values'],
    ['spans of 5 ms', 5e-3, 'spans'],
  ] as const)('waves of %s stand where they stood', (_, step_s, kind) => {
    const start = wavesDrawn(0, step_s, kind);
    const end = wavesDrawn(TEN_HOURS_S, step_s, kind);
    expect(start.strokes[0].corners.length).toBeGreaterThan(300);
    expect(apart(start, end)).toBeLessThan(PIXEL);
  });

  it('is a comparison that would notice: a moment rounded to float32 moves the trace by many pixels', () => {
    const from_s = TEN_HOURS_S + 0.0013;
    const start = wavesDrawn(0.0013, 50e-6, 'values');
    expect(apart(start, wavesDrawn(from_s, 50e-6, 'values'))).toBeLessThan(PIXEL);
    expect(apart(start, wavesDrawn(from_s, 50e-6, 'values', Math.fround(from_s)))).toBeGreaterThan(10);
  });
});
