/** The lines of the waves: whatever is thinned, dashed or dotted, nothing that stands out is left out. */
import { describe, expect, it } from 'vitest';
import { channelsOf } from '../../components/wave-bench/channels.ts';
import { drawTraces, type Lane, type Samples } from '../../components/wave-bench/draw.ts';
import { planLanes } from '../../components/wave-bench/lanes.ts';
import {
  columnBoxes,
  DASH_COLUMNS,
  DOT_COLUMNS,
  dashes,
  dots,
  Path,
  valueLine,
} from '../../components/wave-bench/paths.ts';
import type { Palette } from '../../components/waves/palette.ts';
import type { Pen } from '../../components/waves/pen.ts';
import { expectNear } from '../support/near.ts';

const FLOAT32 = 'points are float32: 24 bits of some hundred pixels';
/** 100 px a second, one pixel a unit, up is smaller. */
const MAP = { x0: 0, dx: 100, y0: 200, dy: -1 };

/** Lowest y that a path of so many numbers a point reaches. */
function top(path: Path, each: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < path.count; k++) if (path.points[each * k + 1] < least) least = path.points[each * k + 1];
  return least;
}

describe('a line of values', () => {
  it('has a corner for every value, at its moment and height', () => {
    const out = new Path(2);
    valueLine(Float32Array.of(0, 5, 10), 0, 3, 0.1, undefined, MAP, false, out);
    expect([...out.points.subarray(0, 6)]).toEqual([0, 200, 10, 195, 20, 190]);
  });

  it('stands until the next value where it is stepped', () => {
    const out = new Path(2);
    valueLine(Float32Array.of(0, 5), 0, 2, 0.1, undefined, MAP, true, out);
    expect([...out.points.subarray(0, 6)]).toEqual([0, 200, 10, 200, 10, 195]);
  });

  it('takes moments as they are told', () => {
    const out = new Path(2);
    valueLine(Float32Array.of(0, 5), 0, 2, 0.1, Float32Array.of(0.02, 0.03), MAP, false, out);
    expectNear(out.points[0], 2, { abs: 1e-6, because: FLOAT32 });
    expectNear(out.points[2], 3, { abs: 1e-6, because: FLOAT32 });
  });
});

describe('dashes', () => {
  const flat = (n: number, px: number) => {
    const line = new Path(2);
    for (let k = 0; k < n; k++) line.add(k * px, 50);
    return line;
  };
  /** Length of ink along the paper. */
  const ink = (path: Path) => {
    let sum = 0;
    for (let k = 1; k < path.count; k++) {
      const d = path.points[2 * k] - path.points[2 * k - 2];
      if (!Number.isNaN(path.points[2 * k + 1]) && !Number.isNaN(path.points[2 * k - 1])) sum += d;
    }
    return sum;
  };

  it.each([0.7, 1, 3.3, 40])('ink 7 of 11 px of a level line whose values stand %s px apart', (px) => {
    const out = new Path(2);
    const count = Math.round(1100 / px);
    dashes(flat(count + 1, px), 0, out);
    expectNear(ink(out) / (count * px), 7 / 11, { abs: 0.01, because: 'the line ends within one round of 11 px' });
  });

  it('keep their place on the paper when it moves', () => {
    const still = new Path(2);
    const moved = new Path(2);
    dashes(flat(100, 2), 0, still);
    const line = flat(100, 2);
    for (let k = 0; k < line.count; k++) line.points[2 * k] -= 5;
    dashes(line, 5, moved);
    expect(moved.count).toBe(still.count);
    for (let k = 0; k < still.count; k++)
      expectNear(moved.points[2 * k] + 5, still.points[2 * k], { abs: 1e-4, because: FLOAT32 });
  });

  it('show one value that stands out, wherever it falls', () => {
    for (let at = 1; at < 60; at++) {
      const line = flat(61, 1);
      line.points[2 * at + 1] = 10;
      const out = new Path(2);
      dashes(line, 0, out);
      expect(top(out, 2), `at value ${at}`).toBe(10);
    }
  });
});

describe('dots', () => {
  it('are fewer than the values where these stand close, and still hold each that stands out', () => {
    for (let at = 0; at < 100; at++) {
      const line = new Path(2);
      for (let k = 0; k < 100; k++) line.add(k, k === at ? 10 : 50);
      const out = new Path(2);
      dots(line, 0, out);
      expect(out.count).toBeLessThan(40);
      expect(top(out, 2), `at value ${at}`).toBe(10);
    }
  });

  it('are one a value where there is room', () => {
    const line = new Path(2);
    for (let k = 0; k < 10; k++) line.add(8 * k, 50);
    const out = new Path(2);
    dots(line, 0, out);
    expect(out.count).toBe(10);
  });
});

describe('columns', () => {
  it('are at least as high as the line is wide, about their middle', () => {
    const out = new Path(3);
    columnBoxes(Float32Array.of(10, 10), 0, 1, 0.1, MAP, 2, undefined, out);
    expect([...out.points.subarray(0, 6)]).toEqual([0, 189, 191, 10, 189, 191]);
  });

  it('reach as far as their neighbor, so that a step is a wall', () => {
    const out = new Path(3);
    columnBoxes(Float32Array.of(0, 1, 90, 91), 0, 2, 0.1, MAP, 2, undefined, out);
    // The second box begins at the top of the first one: y 199.
    expect(out.points[3 * 2 + 2]).toBe(199);
    expect(out.points[3 * 2 + 1]).toBe(109);
  });

  it('of one height are one box, as long as they are', () => {
    const out = new Path(3);
    columnBoxes(new Float32Array(200).fill(10), 0, 100, 0.1, MAP, 2, undefined, out);
    expect(out.count).toBe(2);
    expect([out.points[0], out.points[3]]).toEqual([0, 1000]);
  });

  it('leave a gap where nothing is known', () => {
    const out = new Path(3);
    columnBoxes(Float32Array.of(0, 1, Number.NaN, Number.NaN, 0, 1), 0, 3, 0.1, MAP, 2, undefined, out);
    const heights = Array.from({ length: out.count }, (_, k) => out.points[3 * k + 1]);
    expect(heights.filter(Number.isNaN)).toHaveLength(1);
  });

  it.each([
    ['dashed', DASH_COLUMNS],
    ['dotted', DOT_COLUMNS],
  ])('%s show one column that stands out, wherever it falls', (_, dash) => {
    for (let at = 0; at < 60; at++) {
      const pairs = new Float32Array(120);
      pairs[2 * at + 1] = 100;
      const out = new Path(3);
      columnBoxes(pairs, 0, 60, 0.01, MAP, 1.9, { ...dash, phase_px: 0 }, out);
      expect(top(out, 3), `in column ${at}`).toBe(100);
    }
  });
});

/** A pen that keeps how high it came. */
class Watched implements Pen {
  readonly kind = 'flat';
  least = Number.POSITIVE_INFINITY;
  resize(): void {}
  begin(): void {
    this.least = Number.POSITIVE_INFINITY;
  }
  clip(): void {}
  line(points: Float32Array, count: number): void {
    this.see(points, count, 2);
  }
  dots(points: Float32Array, count: number): void {
    this.see(points, count, 2);
  }
  band(points: Float32Array, count: number): void {
    this.see(points, count, 3);
  }
  boxes(points: Float32Array, count: number): void {
    this.see(points, count, 3);
  }
  dispose(): void {}
  private see(points: Float32Array, count: number, each: number): void {
    for (let k = 0; k < count; k++)
      if (points[each * k] >= 0 && points[each * k] <= 800 && points[each * k + 1] < this.least)
        this.least = points[each * k + 1];
  }
}

describe('a spike of one sample', () => {
  const TICK_S = 5e-5;
  const RUN = 200_000;
  const SPIKE = 123_457;
  const PIXELS = 800;
  const palette = new Proxy({}, { get: () => '#000000' }) as Palette;
  const channels = channelsOf([{ name: 'speed', unit: 'rad/s', signal: 'motorSpeed' }]);

  /** What the worker gives for a stretch of a run that is zero but for one sample. */
  function look(first: number, count: number): Samples {
    const value = (k: number) => (k === SPIKE ? 10 : 0);
    if (count <= PIXELS) {
      const data = Float32Array.from({ length: count }, (_, k) => value(first + k));
      return { from_s: first * TICK_S, to_s: (first + count) * TICK_S, step_s: TICK_S, kind: 'values', data: [data] };
    }
    const each = Math.ceil(count / PIXELS);
    const from = Math.floor(first / each);
    const columns = Math.ceil((first + count) / each) - from;
    const data = new Float32Array(2 * columns);
    const holds = Math.floor(SPIKE / each) - from;
    if (holds >= 0 && holds < columns) data[2 * holds + 1] = 10;
    const step_s = each * TICK_S;
    return { from_s: from * step_s, to_s: (from + columns) * step_s, step_s, kind: 'spans', data: [data] };
  }

  it.each(['link', 'sensedLink', 'watch 0', 'dutyA'])(
    'is drawn in full at every zoom by the stroke of %s',
    (channel) => {
      const info = channels.find((each) => each.channel === channel);
      if (!info) throw new Error(`no channel ${channel}`);
      const [plan] = planLanes([{ ...info, factor: 1, offset: 0 }], new Set());
      const box = { top: 0, height: 100, plotTop: 0, plotBottom: 100 };
      const lane: Lane = { plan, box, scale: { low: 0, high: 10, marks: [0, 10] } };
      const pen = new Watched();
      let zooms = 0;
      for (let count = 8; count <= RUN; count *= 1.37) {
        const span = Math.floor(count);
        const first = Math.min(RUN - span, Math.max(0, SPIKE - Math.floor(span * 0.619)));
        const view = { live: false, from_s: first * TICK_S, to_s: (first + span) * TICK_S };
        drawTraces(pen, [lane], { left: 0, width: PIXELS }, view, look(first, span), undefined, palette);
        expectNear(pen.least, 0, { abs: 1e-4, because: FLOAT32 });
        zooms++;
      }
      expect(zooms).toBeGreaterThan(30);
    },
  );
});
