/** Which trace is drawn where. Stroke says who says so: solid is true, dots are sensed, dashes are estimated. */
import type { RunRecord } from '../session/run-record.ts';
import type { Palette } from '../waves/palette.ts';
import type { Pen } from '../waves/pen.ts';
import type { CloseUp } from './close-up.ts';
import { type Layout, prefersCloseUp } from './layout.ts';
import type { RunTrack } from './run-track.ts';
import { asClose, type Lane } from './scale.ts';

/** Draws every lane of both tracks. */
export function drawLanes(
  pen: Pen,
  record: RunRecord,
  layout: Layout,
  lanes: readonly Lane[],
  track: RunTrack,
  closeUp: CloseUp,
  palette: Palette,
): void {
  pen.begin();
  for (const lane of lanes) {
    if (lane.row.id === 'depth') continue; // the board itself is the graph
    // Two pixels more, so that a stroke at the edge of its lane keeps its width.
    const top = lane.top - 2;
    const height = lane.bottom - lane.top + 4;
    if (layout.both || !prefersCloseUp(lane.row.id)) {
      pen.clip(0, top, layout.runEnd, height);
      drawRun(pen, record, layout, lane, track, palette);
    }
    if (layout.both || prefersCloseUp(lane.row.id)) {
      pen.clip(layout.closeStart, top, layout.width - layout.closeStart, height);
      drawClose(pen, layout, asClose(lane), closeUp, palette);
    }
  }
}

function drawRun(pen: Pen, record: RunRecord, layout: Layout, lane: Lane, track: RunTrack, palette: Palette): void {
  switch (lane.row.id) {
    case 'pack':
      track.draw(pen, record, layout, lane, 'link', palette.ink, palette, 'line');
      break;
    case 'phase':
      track.draw(pen, record, layout, lane, 'phase', palette.ink, palette, 'band');
      break;
    case 'axes':
      track.draw(pen, record, layout, lane, 'currentD', palette.ink2, palette, 'mean');
      track.draw(pen, record, layout, lane, 'currentQ', palette.i, palette, 'mean');
      break;
    case 'angle':
      track.draw(pen, record, layout, lane, 'lead', palette.i, palette, 'mean');
      break;
    case 'speed':
      track.draw(pen, record, layout, lane, 'electricalSpeed', palette.ink, palette, 'line');
      track.draw(pen, record, layout, lane, 'boardSpeed', palette.e, palette, 'dash');
      break;
    default:
      track.draw(pen, record, layout, lane, 'gearTorque', palette.ink, palette, 'line');
  }
}

function drawClose(pen: Pen, layout: Layout, lane: Lane, closeUp: CloseUp, palette: Palette): void {
  switch (lane.row.id) {
    case 'pack':
      closeUp.line(pen, layout, lane, 'link', palette.ink, 1.9);
      closeUp.dots(pen, layout, lane, 'sensedLink', palette.ink2, palette.paper);
      break;
    case 'phase':
      for (const [truth, color] of [
        ['currentA', palette.a],
        ['currentB', palette.b],
        ['currentC', palette.c],
      ] as const) {
        closeUp.line(pen, layout, lane, truth, color, 1.9);
      }
      // What is sensed lies over every line, or it would be lost where waves cross.
      for (const [sensed, color] of [
        ['sensedA', palette.a],
        ['sensedB', palette.b],
        ['sensedC', palette.c],
      ] as const) {
        closeUp.dots(pen, layout, lane, sensed, color, palette.paper);
      }
      break;
    case 'axes':
      closeUp.line(pen, layout, lane, 'currentD', palette.ink2, 1.6);
      closeUp.line(pen, layout, lane, 'currentQ', palette.i, 1.9);
      break;
    case 'angle':
      closeUp.angle(pen, layout, lane, palette);
      break;
    case 'speed':
      closeUp.line(pen, layout, lane, 'electricalSpeed', palette.ink, 1.9);
      closeUp.dashes(pen, layout, lane, 'boardSpeed', palette.e);
      break;
    default:
      closeUp.line(pen, layout, lane, 'gearTorque', palette.ink, 1.9);
  }
}
