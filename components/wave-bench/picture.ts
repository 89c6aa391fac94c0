/** A picture of the waves to keep: what they are, of which run, in which units, and what they do not prove. */
import type { BenchInfo } from '../../worker/api.ts';
import { FlatPen } from '../waves/flat-pen.ts';
import { drawTraces, type Lane, type Samples } from './draw.ts';
import type { Trace } from './lanes.ts';
import { moment, roundly } from './numbers.ts';
import { type Happened, paintMoving, paintStill, paintTags, type Sheet } from './paper.ts';
import { lastOf, type PaperView } from './paper-view.ts';
import type { RunDesk } from './run-desk.ts';
import type { View } from './span.ts';
import { WORDS } from './words.ts';

/** Of package.json, put in when the page is built. */
declare const PROGRAM_VERSION: string;

/** Points of the picture for each of the paper. */
const RATIO = 2;

export interface PictureOf extends Happened {
  readonly view: View;
  readonly samples: Samples | undefined;
  readonly ghost: Samples | undefined;
  /** Lines above the waves. */ readonly head: readonly string[];
  readonly lastOf: (trace: Trace) => number;
}

/** Paints the paper anew on a canvas of its own, with words around it. */
export async function picture(sheet: Sheet, lanes: readonly Lane[], of: PictureOf): Promise<Blob> {
  const { rem, palette, width, height, family } = sheet;
  const foot = wrapped(WORDS.caution, Math.floor(width / (0.47 * rem)));
  const line = 1.4 * rem;
  const above = (of.head.length + 1) * line + 0.8 * rem;
  const below = foot.length * line + 0.6 * rem;
  const canvas = document.createElement('canvas');
  canvas.width = Math.round(width * RATIO);
  canvas.height = Math.round((height + above + below) * RATIO);
  const g = canvas.getContext('2d');
  if (!g) throw new Error('canvas gives no 2D context; no picture can be made');
  g.setTransform(RATIO, 0, 0, RATIO, 0, 0);
  g.fillStyle = palette.paper;
  g.fillRect(0, 0, width, height + above + below);
  g.textBaseline = 'middle';
  g.textAlign = 'left';
  of.head.forEach((text, k) => {
    g.font = `${k === 0 ? '600 ' : ''}${(k === 0 ? 1.05 : 0.92) * rem}px ${family}`;
    g.fillStyle = palette.ink;
    g.fillText(text, 0.75 * rem, (k + 1) * line);
  });
  g.font = `${0.92 * rem}px ${family}`;
  g.fillText(`${moment(of.view.from_s)} \u2013 ${moment(of.view.to_s)}`, 0.75 * rem, (of.head.length + 1) * line);
  foot.forEach((text, k) => {
    g.fillStyle = palette.ink2;
    g.fillText(text, 0.75 * rem, above + height + (k + 0.8) * line);
  });
  g.translate(0, above);
  paintMoving(g, sheet, lanes, of.view, of);
  g.drawImage(traces(sheet, lanes, of), 0, 0, width, height);
  paintTags(g, sheet, lanes, of.lastOf);
  paintStill(g, sheet, lanes);
  flags(g, sheet, of);
  return new Promise((done, fail) => {
    canvas.toBlob((blob) => (blob ? done(blob) : fail(new Error('the picture could not be written'))), 'image/png');
  });
}

function traces(sheet: Sheet, lanes: readonly Lane[], of: PictureOf): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  const pen = new FlatPen(canvas);
  pen.resize(sheet.width, sheet.height, RATIO);
  pen.begin();
  drawTraces(pen, lanes, sheet.area, of.view, of.samples, of.ghost, sheet.palette);
  return canvas;
}

/** Numbers of the marks, which on the page are controls of their own. */
function flags(g: CanvasRenderingContext2D, { area, rem, palette, family }: Sheet, of: PictureOf): void {
  of.cursors.forEach((at_s, k) => {
    if (at_s === undefined || at_s < of.view.from_s || at_s > of.view.to_s) return;
    const x = area.left + ((at_s - of.view.from_s) / (of.view.to_s - of.view.from_s)) * area.width;
    g.fillStyle = palette.ink;
    g.fillRect(x - 0.7 * rem, 0, 1.4 * rem, 1.4 * rem);
    g.fillStyle = palette.paper;
    g.font = `700 ${0.92 * rem}px ${family}`;
    g.textAlign = 'center';
    g.textBaseline = 'middle';
    g.fillText(String(k + 1), x, 0.72 * rem);
  });
}

/** Lines of at most so many letters. */
export function wrapped(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const last = lines[lines.length - 1];
    if (last !== undefined && last.length + 1 + word.length <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** What a picture of the paper as it is now must say. */
export function pictureOf(run: RunDesk, info: BenchInfo, lost_s: number): PictureOf {
  const shown = run.shown(false);
  const head = [
    WORDS.pictureHead(
      info.title,
      info.board ? WORDS.pictureBoard(info.controller, info.board.firmware, info.board.version) : info.controller,
    ),
    WORDS.pictureVersion(PROGRAM_VERSION, roundly(info.step_s), `${info.pwm_Hz / 1000}\u202fkHz`),
    ...(lost_s > 0 ? [WORDS.pictureLost(roundly(lost_s))] : []),
  ];
  return { ...shown, head, lastOf: (trace) => lastOf(trace, shown.samples, shown.view) };
}

/** Makes the picture and gives it to the person under a name that tells the moment. */
export async function savePicture(info: BenchInfo, paper: PaperView, of: PictureOf): Promise<void> {
  if (!paper.sheet) return;
  const blob = await picture(paper.sheet, paper.lanes, of);
  hand(blob, `${WORDS.pictureName}-${info.drill}-${of.view.to_s.toFixed(3)}s.png`);
}

function hand(blob: Blob, name: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
