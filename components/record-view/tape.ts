/** Hazard tape along the top of the record for as long as a fault was in force, in both tracks, and a line where it began. */
import type { RunRecord } from '../session/run-record.ts';
import type { Palette } from '../waves/palette.ts';
import type { CloseUp } from './close-up.ts';
import { type Layout, RUN_SPAN_S } from './layout.ts';

export type Spans = readonly (readonly [from_s: number, to_s: number])[];

/** Height of the tape, and one pair of its stripes along it [px]. */
const TAPE_PX = 5;
const STRIPES_PX = 12;

/** Part of a track that a span covers, cut to the track; undefined when nothing of it is there. An end of NaN lasts. */
export function covered(
  from_s: number,
  to_s: number,
  x: (time_s: number) => number,
  left: number,
  right: number,
): readonly [number, number] | undefined {
  const start = Math.max(left, x(from_s));
  const end = Number.isNaN(to_s) ? right : Math.min(right, x(to_s));
  return start < right && end > left && end > start ? [start, end] : undefined;
}

export function paintTape(
  g: CanvasRenderingContext2D,
  layout: Layout,
  record: RunRecord,
  closeUp: CloseUp,
  spans: Spans,
  palette: Palette,
): void {
  if (spans.length === 0) return;
  const now_s = record.endColumn * record.column_s;
  const run = (time_s: number) => layout.runEnd * (1 - (now_s - time_s) / RUN_SPAN_S);
  // Stripes belong to the paper: they move with it.
  const shift = ((now_s / RUN_SPAN_S) * layout.runEnd) % STRIPES_PX;
  for (const [from_s, to_s] of spans) {
    paintSpan(g, layout, covered(from_s, to_s, run, 0, layout.runEnd), run(from_s), shift, palette);
    if (!layout.both) continue;
    const close = (time_s: number) => closeUp.x(layout, time_s / record.tick_s);
    const there = covered(from_s, to_s, close, layout.closeStart, layout.width);
    paintSpan(g, layout, there, close(from_s), 0, palette);
  }
}

function paintSpan(
  g: CanvasRenderingContext2D,
  layout: Layout,
  span: readonly [number, number] | undefined,
  begin: number,
  shift: number,
  palette: Palette,
): void {
  if (!span) return;
  const [left, right] = span;
  g.save();
  if (begin >= left) {
    g.strokeStyle = palette.ink2;
    g.lineWidth = 1;
    g.setLineDash([8, 3, 2, 3]);
    g.beginPath();
    g.moveTo(Math.round(begin) + 0.5, 0);
    g.lineTo(Math.round(begin) + 0.5, layout.height - layout.axis);
    g.stroke();
    g.setLineDash([]);
  }
  g.beginPath();
  g.rect(left, 0, right - left, TAPE_PX);
  g.clip();
  g.fillStyle = palette.tape;
  g.fillRect(left, 0, right - left, TAPE_PX);
  g.strokeStyle = palette['on-tape'];
  g.lineWidth = STRIPES_PX / 2 / Math.SQRT2;
  g.beginPath();
  const first = Math.floor((left - TAPE_PX) / STRIPES_PX) * STRIPES_PX - shift;
  for (let x = first; x < right + TAPE_PX; x += STRIPES_PX) {
    g.moveTo(x - 2, TAPE_PX + 2);
    g.lineTo(x + TAPE_PX + 2, -2);
  }
  g.stroke();
  g.restore();
}
