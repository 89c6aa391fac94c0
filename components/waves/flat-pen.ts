import type { Pen } from './pen.ts';

/** Segments of a line that are stroked at once. Measured: a dense line of 2000 in one path takes three times as long as in pieces. */
const PIECE = 32;

/** Draws on a plain 2D canvas. Without a card the processor fills every pixel, and a path costs by its edges times its height. */
export class FlatPen implements Pen {
  readonly kind = 'flat';
  private readonly canvas: HTMLCanvasElement;
  private readonly context: CanvasRenderingContext2D;
  private ratio = 1;
  private bold = 1;
  private clipped = false;

  constructor(canvas: HTMLCanvasElement) {
    const context = canvas.getContext('2d');
    if (!context) throw new RangeError('canvas gives no 2D context; nothing can be drawn');
    this.canvas = canvas;
    this.context = context;
  }

  get ground(): CanvasRenderingContext2D {
    return this.context;
  }

  resize(width: number, height: number, ratio: number, bold = 1): void {
    this.bold = bold;
    this.canvas.width = Math.round(width * ratio);
    this.canvas.height = Math.round(height * ratio);
    this.ratio = ratio;
    this.clipped = false;
  }

  begin(): void {
    const { context, ratio } = this;
    if (this.clipped) context.restore();
    this.clipped = false;
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, this.canvas.width, this.canvas.height);
    context.lineJoin = 'round';
  }

  clip(x: number, y: number, width: number, height: number): void {
    const { context } = this;
    if (this.clipped) context.restore();
    context.save();
    this.clipped = true;
    context.beginPath();
    context.rect(x, y, width, height);
    context.clip();
  }

  line(points: Float32Array, count: number, color: string, width: number): void {
    const { context } = this;
    context.strokeStyle = color;
    context.lineWidth = width * this.bold;
    let down = 0;
    context.beginPath();
    for (let k = 0; k < count; k++) {
      const x = points[2 * k];
      const y = points[2 * k + 1];
      if (Number.isNaN(y)) {
        down = 0;
        continue;
      }
      if (down === 0) context.moveTo(x, y);
      else context.lineTo(x, y);
      if (++down <= PIECE) continue;
      context.stroke();
      context.beginPath();
      // The last segment once more, so that the next piece is joined to it.
      context.moveTo(points[2 * k - 2], points[2 * k - 1]);
      context.lineTo(x, y);
      down = 2;
    }
    context.stroke();
  }

  dots(points: Float32Array, count: number, color: string, size: number): void {
    const { context } = this;
    context.fillStyle = color;
    for (let k = 0; k < count; k++) {
      if (!Number.isNaN(points[2 * k + 1]))
        context.fillRect(points[2 * k] - size / 2, points[2 * k + 1] - size / 2, size, size);
    }
  }

  band(points: Float32Array, count: number, color: string): void {
    const { context } = this;
    context.fillStyle = color;
    context.beginPath();
    let first = 0;
    for (let k = 0; k <= count; k++) {
      if (k < count && !Number.isNaN(points[3 * k + 1])) continue;
      for (let j = first; j < k; j++) {
        if (j === first) context.moveTo(points[3 * j], points[3 * j + 1]);
        else context.lineTo(points[3 * j], points[3 * j + 1]);
      }
      for (let j = k - 1; j >= first; j--) context.lineTo(points[3 * j], points[3 * j + 2]);
      first = k + 1;
    }
    context.fill();
  }

  /**
   * Boxes take whole pixels, so that no seam shows between neighbors; one pixel of width is a line down the middle of it, because
   * lines of one pixel are what a processor draws fastest.
   */
  boxes(points: Float32Array, count: number, color: string): void {
    const { context, ratio } = this;
    const pixel = 1 / ratio;
    context.fillStyle = color;
    context.strokeStyle = color;
    context.lineWidth = pixel;
    context.beginPath();
    for (let k = 0; k < count; k++) {
      const at = 3 * k;
      const top = points[at + 1];
      const bottom = points[at + 2];
      if (Number.isNaN(top)) continue;
      const left = Math.round(points[at] * ratio) * pixel;
      const right = Math.max(left + pixel, Math.round(points[at + 3] * ratio) * pixel);
      k++; // the right side of the box
      if (right - left > 1.5 * pixel) context.fillRect(left, top, right - left, bottom - top);
      else {
        context.moveTo(left + pixel / 2, top);
        context.lineTo(left + pixel / 2, bottom);
      }
    }
    context.stroke();
  }

  dispose(): void {
    this.canvas.remove();
  }
}
