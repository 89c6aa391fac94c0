/** A small graph of its own for spectrum and XY: axes with round numbers on a plain canvas. */
import type { Palette } from '../waves/palette.ts';
import { roundScale, type Scale } from './axis.ts';
import { plain } from './numbers.ts';

export interface Frame {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly rem: number;
  readonly font: string;
  readonly palette: Palette;
}

/** Sizes a canvas to its box; undefined while it has none. */
export function frameOf(canvas: HTMLCanvasElement, palette: Palette): Frame | undefined {
  const { clientWidth: width, clientHeight: height } = canvas;
  if (width < 60 || height < 60) return undefined;
  const rem = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
  canvas.width = Math.round(width * devicePixelRatio);
  canvas.height = Math.round(height * devicePixelRatio);
  canvas.getContext('2d')?.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
  const font = `${0.92 * rem}px ${getComputedStyle(canvas).fontFamily}`;
  const edges = { left: 4.2 * rem, right: width - 1.2 * rem, top: 0.8 * rem, bottom: height - 2.6 * rem };
  return { width, height, ...edges, rem, font, palette };
}

export const across = (frame: Frame, { low, high }: Scale, value: number): number =>
  frame.left + ((value - low) / (high - low)) * (frame.right - frame.left);
export const up = (frame: Frame, { low, high }: Scale, value: number): number =>
  frame.bottom - ((value - low) / (high - low)) * (frame.bottom - frame.top);

/** Grid, numbers and what the axes mean. */
export function paintAxes(
  g: CanvasRenderingContext2D,
  frame: Frame,
  x: Scale,
  y: Scale,
  says: { readonly x: string; readonly y: string },
  asY: (value: number) => string = plain,
): void {
  const { palette, rem } = frame;
  g.clearRect(0, 0, frame.width, frame.height);
  g.lineWidth = 1;
  g.font = frame.font;
  g.fillStyle = palette.ink2;
  for (const mark of x.marks) {
    const at = Math.round(across(frame, x, mark)) + 0.5;
    rule(g, at, frame.top, at, frame.bottom, mark === 0 ? palette.edge : palette.rule);
    g.textAlign = 'center';
    g.textBaseline = 'top';
    g.fillText(plain(mark), at, frame.bottom + 0.3 * rem);
  }
  for (const mark of y.marks) {
    const at = Math.round(up(frame, y, mark)) + 0.5;
    rule(g, frame.left, at, frame.right, at, mark === 0 ? palette.edge : palette.rule);
    g.textAlign = 'right';
    g.textBaseline = 'middle';
    g.fillText(asY(mark), frame.left - 0.4 * rem, at);
  }
  g.textAlign = 'right';
  g.textBaseline = 'bottom';
  g.fillText(says.x, frame.right, frame.height - 0.1 * rem);
  g.textAlign = 'left';
  g.textBaseline = 'top';
  g.fillText(says.y, frame.left + 0.4 * rem, frame.top + 0.1 * rem);
}

function rule(g: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number, color: string): void {
  g.strokeStyle = color;
  g.beginPath();
  g.moveTo(x0, y0);
  g.lineTo(x1, y1);
  g.stroke();
}

/** A round scale around values, with zero when it is near, never of no height. */
export function scaleAround(low: number, high: number, intervals: number): Scale {
  if (!(high >= low)) return roundScale(0, 1, intervals);
  const room = high - low > 0 ? 0 : Math.max(Math.abs(high) * 0.1, 1e-6);
  return roundScale(low - room, high + room, intervals);
}
