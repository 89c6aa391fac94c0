/**
 * The paper: what moves, the traces, what stands still, a layer of canvas each; the traces belong to the pen, and without a card
 * what moves lies under them on the same layer. Draws when something has changed.
 */
import { readPalette } from '../waves/palette.ts';
import { keepPen, type Pen } from '../waves/pen.ts';
import { exactScale, marksFor, type Scale } from './axis.ts';
import { type Area, drawTraces, type Lane, reachOf, type Samples } from './draw.ts';
import { heightFor, type LanePlan, placeLanes, type Trace } from './lanes.ts';
import { type Happened, paintMoving, paintStill, paintTags, type Sheet } from './paper.ts';
import { CODES, type Fitted, fit } from './scale.ts';
import type { View } from './span.ts';

const GUTTER_REM = 4.3;
const AXIS_REM = 1.9;
/** Above the lanes: what happened, and the marks to take hold of. */
const STRIP_REM = 2;
const STRIP_TOUCH_PX = 46;

/** All that a picture shows. */
export interface Shown extends Happened {
  readonly plans: readonly LanePlan[];
  /** Scales that a person set, by the key of the lane. */
  readonly scales: ReadonlyMap<string, readonly [number, number]>;
  readonly view: View;
  readonly samples: Samples | undefined;
  readonly ghost: Samples | undefined;
  /** The view has jumped, or time stands: scales need not wait. */ readonly at_once: boolean;
}

export class PaperView {
  /** Time that the last drawings took on the main thread [ms], a ring. */ readonly spent_ms = new Float32Array(512);
  spent = 0;
  lanes: readonly Lane[] = [];
  sheet: Sheet | undefined;
  private pen: Pen | undefined;
  private readonly host: HTMLElement;
  private readonly under: CanvasRenderingContext2D;
  private readonly over: CanvasRenderingContext2D;
  /** The times once more, at the lower edge of the room, while lanes scroll under it. */
  private readonly times: CanvasRenderingContext2D | null | undefined;
  private readonly fitted = new Map<string, Fitted>();
  private still = '';
  private readonly giveBack: () => void;

  constructor(host: HTMLElement, told: (pen: Pen['kind']) => void) {
    const layer = (name: string) => host.querySelector<HTMLCanvasElement>(name)?.getContext('2d');
    const under = layer('.under');
    const over = layer('.over');
    const middle = host.querySelector<HTMLElement>('.middle');
    if (!under || !over || !middle) throw new Error('the paper has lost its layers');
    this.host = host;
    this.under = under;
    this.over = over;
    this.times = host.parentElement?.querySelector<HTMLCanvasElement>('.times')?.getContext('2d');
    this.giveBack = keepPen(
      middle,
      (pen) => {
        this.pen = pen;
        if (!pen) return;
        under.canvas.hidden = pen.ground !== undefined; // without a card the pen's own layer carries all that moves
        if (this.sheet) pen.resize(this.sheet.width, this.sheet.height, devicePixelRatio);
        told(pen.kind);
      },
      location.hash === '#card',
    );
  }

  /** Takes the size of what holds it; lanes that do not fit make it higher. */
  resize(lanes: number): void {
    const room = this.host.parentElement;
    if (!room || room.clientWidth === 0) return;
    const rem = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
    const axis = AXIS_REM * rem;
    const strip = matchMedia('(pointer: coarse)').matches ? STRIP_TOUCH_PX : STRIP_REM * rem;
    const width = room.clientWidth;
    const height = heightFor(lanes, rem, room.clientHeight - axis - strip) + axis + strip;
    const left = GUTTER_REM * rem;
    const { family, palette } = this.sheet ?? {
      family: getComputedStyle(this.host).fontFamily,
      palette: readPalette(),
    };
    this.host.style.height = `${height}px`;
    this.sheet = { width, height, area: { left, width: width - left }, axis, strip, rem, family, palette };
    for (const g of [this.under, this.over]) {
      g.canvas.width = Math.round(width * devicePixelRatio);
      g.canvas.height = Math.round(height * devicePixelRatio);
    }
    if (this.times) sizeTimes(this.times.canvas, width, axis, height > room.clientHeight + 1);
    this.pen?.resize(width, height, devicePixelRatio);
    this.still = '';
  }

  /** Day or night. */
  recolor(): void {
    if (this.sheet) this.sheet = { ...this.sheet, palette: readPalette() };
    this.still = '';
  }

  /** Forgets scales that fitted by themselves. */
  forget(): void {
    this.fitted.clear();
  }

  draw(shown: Shown, now_ms: number): void {
    const { sheet, pen } = this;
    if (!sheet || !pen) return;
    const begin_ms = performance.now();
    const { plans, view, samples, ghost } = shown;
    const boxes = placeLanes(plans, sheet.strip, sheet.height - sheet.axis, sheet.rem);
    this.lanes = plans.map((plan, k) => ({
      plan,
      box: boxes[k],
      scale: this.scaleOf(plan, boxes[k].plotBottom - boxes[k].plotTop, shown, now_ms),
    }));
    pen.begin();
    const ground = pen.ground ?? blank(this.under, sheet);
    paintMoving(ground, sheet, this.lanes, view, shown);
    paintTags(ground, sheet, this.lanes, (trace) => lastOf(trace, samples, view));
    if (this.times && !this.times.canvas.hidden) copyTimes(this.times, ground.canvas);
    drawTraces(pen, this.lanes, sheet.area, view, samples, ghost, sheet.palette);
    const still = this.stillKey(sheet);
    if (still !== this.still) {
      this.still = still;
      blank(this.over, sheet);
      paintStill(this.over, sheet, this.lanes);
    }
    this.spent_ms[this.spent++ % this.spent_ms.length] = performance.now() - begin_ms;
  }

  /** The processor draws, without a card. */
  get flat(): boolean {
    return this.pen?.kind === 'flat';
  }

  get area(): Area | undefined {
    return this.sheet?.area;
  }

  /** Gives the drawing context back. */
  dispose(): void {
    this.giveBack();
  }

  private scaleOf(plan: LanePlan, height: number, shown: Shown, now_ms: number): Scale {
    const set = shown.scales.get(plan.key);
    if (set) return exactScale(set[0], set[1], marksFor(height));
    const reach = reachOf(plan, shown.view, [shown.samples, shown.ghost]);
    const unit = plan.unit === '' && plan.traces[0].stepped ? CODES : plan.unit;
    const fitted = fit(this.fitted.get(plan.key), reach, unit, height, now_ms, shown.at_once);
    this.fitted.set(plan.key, fitted);
    return fitted.scale;
  }

  private stillKey({ width, height, palette }: Sheet): string {
    const lanes = this.lanes.map(({ plan, scale }) => {
      const names = plan.traces.map(({ channel, color }) => `${channel} ${color}`);
      return `${plan.key} ${names} ${scale.low} ${scale.high} ${scale.marks.length}`;
    });
    return `${width} ${height} ${palette.ink} ${devicePixelRatio} ${lanes}`;
  }
}

/** The value at the right edge of the paper, SI. */
export function lastOf(trace: Trace, samples: Samples | undefined, view: View): number {
  const data = samples?.data[trace.place];
  if (!samples || !data || data.length === 0) return Number.NaN;
  if (samples.at_s) return data[data.length - 1];
  const count = samples.kind === 'spans' ? data.length / 2 : data.length;
  for (let k = Math.min(count - 1, Math.floor((view.to_s - samples.from_s) / samples.step_s)); k >= 0; k--) {
    if (samples.kind === 'values' && !Number.isNaN(data[k])) return data[k];
    const least = data[2 * k];
    const most = data[2 * k + 1];
    // A column that is mostly swing has no place where a tag would stand.
    if (samples.kind === 'spans' && most >= least)
      return most - least > 0.5 * Math.max(Math.abs(most), Math.abs(least)) ? Number.NaN : (least + most) / 2;
  }
  return Number.NaN;
}

/** Empties a layer, and gives it back. */
function blank(g: CanvasRenderingContext2D, sheet: Sheet): CanvasRenderingContext2D {
  g.setTransform(devicePixelRatio, 0, 0, devicePixelRatio, 0, 0);
  g.clearRect(0, 0, sheet.width, sheet.height);
  return g;
}

function sizeTimes(canvas: HTMLCanvasElement, width: number, height: number, shown: boolean): void {
  canvas.hidden = !shown;
  if (!shown) return;
  canvas.width = Math.round(width * devicePixelRatio);
  canvas.height = Math.round(height * devicePixelRatio);
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  canvas.style.marginTop = `${-height}px`; // over the times that are painted there
}

function copyTimes(times: CanvasRenderingContext2D, paper: HTMLCanvasElement): void {
  const { width, height } = times.canvas;
  times.drawImage(paper, 0, paper.height - height, width, height, 0, 0, width, height);
}
