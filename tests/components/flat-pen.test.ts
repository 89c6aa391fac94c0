/** What the pen without a card asks its canvas for: every segment of a line, every box, and no gap between neighbors. */
import { describe, expect, it } from 'vitest';
import { FlatPen } from '../../components/waves/flat-pen.ts';

type Segment = readonly [number, number, number, number];

/** A canvas that writes down what it is to draw, in the pixels that it is told of. */
class Sketch {
  width = 0;
  height = 0;
  /** Segments that were stroked, rectangles that were filled: left, top, right, bottom. */
  readonly segments: Segment[] = [];
  readonly rectangles: Segment[] = [];
  lineWidth = 0;
  lineJoin = '';
  strokeStyle = '';
  fillStyle = '';
  private path: Segment[] = [];
  private at: readonly [number, number] = [Number.NaN, Number.NaN];

  getContext(): this {
    return this;
  }
  beginPath(): void {
    this.path = [];
  }
  moveTo(x: number, y: number): void {
    this.at = [x, y];
  }
  lineTo(x: number, y: number): void {
    this.path.push([...this.at, x, y]);
    this.at = [x, y];
  }
  stroke(): void {
    this.segments.push(...this.path);
  }
  fillRect(x: number, y: number, width: number, height: number): void {
    this.rectangles.push([x, y, x + width, y + height]);
  }
}

function penOn(ratio = 1): { pen: FlatPen; sketch: Sketch } {
  const sketch = new Sketch();
  const pen = new FlatPen(sketch as unknown as HTMLCanvasElement);
  pen.resize(400, 100, ratio);
  return { pen, sketch };
}

describe('a pen without a card', () => {
  it('strokes every segment of a long line in pieces that share one with the next, and none where the pen is lifted', () => {
    const { pen, sketch } = penOn();
    const count = 200;
    const lifted = 77;
    const points = Float32Array.from({ length: 2 * count }, (_, k) =>
      k % 2 === 0 ? k / 2 : k === 2 * lifted + 1 ? Number.NaN : (k * 7) % 50,
    );
    pen.line(points, count, '#000000', 2);
    const drawn = new Set(sketch.segments.map(([x0, , x1]) => `${x0} ${x1}`));
    const wanted = Array.from({ length: count - 1 }, (_, k) => k).filter((k) => k !== lifted && k + 1 !== lifted);
    expect(drawn).toEqual(new Set(wanted.map((k) => `${k} ${k + 1}`)));
    expect(sketch.segments.length - drawn.size).toBeLessThan(count / 16);
  });

  it.each([1, 1.5, 2])('covers each pixel of boxes side by side once, %s pixels to one of the page', (ratio) => {
    const { pen, sketch } = penOn(ratio);
    const widths = [0.7, 1.1, 0.2, 5, 1, 0.4, 2.3];
    let x = 10.3;
    const points: number[] = [];
    for (const width of widths) {
      points.push(x, 20, 40, x + width, 20, 40);
      x += width;
    }
    pen.boxes(Float32Array.from(points), 2 * widths.length, '#000000');
    const covered = new Set<number>();
    for (const [left, , right] of sketch.rectangles)
      for (let k = Math.round(left * ratio); k < Math.round(right * ratio); k++) covered.add(k);
    for (const [left, top, right, bottom] of sketch.segments) {
      expect([left, top, bottom]).toEqual([right, 20, 40]);
      expect((left * ratio) % 1).toBeCloseTo(0.5, 6);
      covered.add(Math.floor(left * ratio));
    }
    const from = Math.round(10.3 * ratio);
    const end = Math.round(x * ratio);
    for (let k = from; k < end; k++) expect(covered, `pixel ${k}`).toContain(k);
    expect(Math.max(...covered)).toBeLessThanOrEqual(end);
    expect(sketch.rectangles.length + sketch.segments.length).toBe(widths.length);
  });

  it('draws a box that is narrower than a pixel, and leaves the room between two parted ones free', () => {
    const { pen, sketch } = penOn();
    const gone = Number.NaN;
    pen.boxes(Float32Array.of(5, 1, 90, 5.01, 1, 90, 6, gone, gone, 9, 3, 4, 12, 3, 4), 5, '#000000');
    expect(sketch.segments).toEqual([[5.5, 1, 5.5, 90]]);
    expect(sketch.rectangles).toEqual([[9, 3, 12, 4]]);
  });
});
