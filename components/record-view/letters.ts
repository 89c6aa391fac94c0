/** Letters on the waves, so that no trace is told by its color alone. */
import { TICK_INDEX, type TickName } from '../../worker/block.ts';
import type { Palette } from '../waves/palette.ts';
import type { CloseUp } from './close-up.ts';
import type { Layout } from './layout.ts';
import { asClose, type Lane, yOf } from './scale.ts';

/** A phase current is labeled where it holds at least this share of its peak. */
const HOLDS = 0.55;
/** Below this no letter finds its trace [A]. */
const LEAST_A = 0.5;

/** Puts A, B, C on the phase currents and d, q at the end of the axis currents of the close-up. */
export function paintLetters(
  g: CanvasRenderingContext2D,
  layout: Layout,
  lanes: readonly Lane[],
  closeUp: CloseUp,
  palette: Palette,
  font: string,
): void {
  if (closeUp.end - closeUp.first < 20) return;
  g.font = font;
  g.textAlign = 'center';
  g.textBaseline = 'middle';
  const phase = laneOfRow(lanes, 'phase');
  if (phase) {
    phaseLetter(g, layout, phase, closeUp, palette, 'currentA', 'A', palette.a, 0);
    phaseLetter(g, layout, phase, closeUp, palette, 'currentB', 'B', palette.b, 0.08);
    phaseLetter(g, layout, phase, closeUp, palette, 'currentC', 'C', palette.c, 0.16);
  }
  const axes = laneOfRow(lanes, 'axes');
  if (!axes) return;
  const last = closeUp.end - 1;
  const q = yOf(axes, closeUp.at(last, TICK_INDEX.currentQ));
  const d = yOf(axes, closeUp.at(last, TICK_INDEX.currentD));
  const apart = layout.rem * 0.62;
  const middle = (q + d) / 2;
  const spread = Math.max(apart, Math.abs(q - d) / 2);
  const sign = q <= d ? -1 : 1;
  const x = layout.width - layout.rem;
  chip(g, layout, x, middle + sign * spread, 'q', palette.i, palette);
  chip(g, layout, x, middle - sign * spread, 'd', palette.ink2, palette);
}

function laneOfRow(lanes: readonly Lane[], id: string): Lane | undefined {
  const lane = lanes.find((l) => l.row.id === id);
  return lane && asClose(lane);
}

function phaseLetter(
  g: CanvasRenderingContext2D,
  layout: Layout,
  lane: Lane,
  closeUp: CloseUp,
  palette: Palette,
  name: TickName,
  letter: string,
  color: string,
  from: number,
): void {
  const channel = TICK_INDEX[name];
  let peak = 0;
  for (let k = closeUp.first; k < closeUp.end; k++) peak = Math.max(peak, Math.abs(closeUp.at(k, channel)));
  if (peak < LEAST_A) return;
  const start = closeUp.first + Math.round((0.09 + from) * (closeUp.end - closeUp.first));
  // On the positive half first, where the letters of three phases follow each other; a still rotor may have none.
  for (const sign of [1, -1]) {
    for (let k = start; k < closeUp.end - 6; k++) {
      if (sign * closeUp.at(k, channel) < HOLDS * peak || sign * closeUp.at(k + 3, channel) < HOLDS * peak) continue;
      chip(g, layout, closeUp.x(layout, k + 2), yOf(lane, closeUp.at(k + 2, channel)), letter, color, palette);
      return;
    }
  }
}

function chip(
  g: CanvasRenderingContext2D,
  layout: Layout,
  x: number,
  y: number,
  letter: string,
  color: string,
  palette: Palette,
): void {
  const half = layout.rem * 0.52;
  g.fillStyle = palette.paper;
  g.strokeStyle = color;
  g.lineWidth = 1.5;
  g.beginPath();
  g.rect(x - half, y - half, 2 * half, 2 * half);
  g.fill();
  g.stroke();
  g.fillStyle = palette.ink;
  g.fillText(letter, x, y + 1);
}
