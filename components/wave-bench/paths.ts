/**
 * From samples to what a pen draws. Nothing is thinned out: a value is a corner of the line, a column spans all that fell
 * into it, and where a dash or a dot would leave something out that stands out, it is drawn all the same.
 */

/** Pixels from seconds and values: x = x0 + dx t, with t counted from the first value; y = y0 + dy v, with v in SI. */
export interface Mapping {
  readonly x0: number;
  readonly dx: number;
  readonly y0: number;
  readonly dy: number;
}

/** Boxes side by side whose edges differ by less than this are one [px]. */
const SAME_PX = 0.25;

/** Points or triples that grow as needed and are used again in every frame. */
export class Path {
  points = new Float32Array(4096);
  count = 0;
  private readonly each: 2 | 3;

  constructor(each: 2 | 3) {
    this.each = each;
  }

  add(x: number, y: number, y2 = 0): void {
    const at = this.count * this.each;
    if (at + 3 > this.points.length) {
      const more = new Float32Array(this.points.length * 2);
      more.set(this.points);
      this.points = more;
    }
    this.points[at] = x;
    this.points[at + 1] = y;
    if (this.each === 3) this.points[at + 2] = y2;
    this.count++;
  }

  /** Lengthens the last box of triples to `x1` when another one of its height follows at once; else does nothing. */
  widen(x0: number, x1: number, top: number, bottom: number): boolean {
    const at = 3 * (this.count - 1);
    const { points } = this;
    if (at < 3 || Math.abs(points[at] - x0) > SAME_PX) return false;
    if (!(Math.abs(points[at + 1] - top) < SAME_PX && Math.abs(points[at + 2] - bottom) < SAME_PX)) return false;
    points[at] = x1;
    return true;
  }
}

/** What jumps by more than this within a gap of a dash is drawn through the gap [px]. */
const STANDS_OUT_PX = 3;
/** Ink and gap of an estimated trace, along the paper [px]. */
const DASH_ON_PX = 7;
const DASH_OFF_PX = 4;
/** From one dot of a sensed trace to the next, where its samples stand closer [px]. */
const DOT_PX = 5;

/** Values `first` up to `end` as a line; `at_s` tells their moments where they are not evenly spaced. */
export function valueLine(
  data: Float32Array,
  first: number,
  end: number,
  step_s: number,
  at_s: Float32Array | undefined,
  map: Mapping,
  stepped: boolean,
  out: Path,
): void {
  out.count = 0;
  let before = Number.NaN;
  for (let k = first; k < end; k++) {
    const x = map.x0 + map.dx * (at_s ? at_s[k] : k * step_s);
    const y = map.y0 + map.dy * data[k];
    if (stepped && !Number.isNaN(before)) out.add(x, before);
    out.add(x, y);
    before = y;
  }
}

/** Cuts a line into dashes that keep their place on the paper: `phase_px` is how far the paper has gone at x = 0. */
export function dashes(line: Path, phase_px: number, out: Path): void {
  const round = DASH_ON_PX + DASH_OFF_PX;
  out.count = 0;
  for (let k = 1; k < line.count; k++) {
    const x0 = line.points[2 * k - 2];
    const y0 = line.points[2 * k - 1];
    const x1 = line.points[2 * k];
    const y1 = line.points[2 * k + 1];
    if (!(y0 - y0 === 0 && y1 - y1 === 0)) continue;
    const run = x1 - x0;
    if (Math.abs(y1 - y0) > STANDS_OUT_PX && Math.abs(y1 - y0) > run) {
      piece(out, x0, y0, x1, y1);
      continue;
    }
    let place = (x0 + phase_px) % round;
    if (place < 0) place += round;
    let from = x0;
    while (from < x1) {
      const inked = place < DASH_ON_PX;
      const to = Math.min(x1, from + (inked ? DASH_ON_PX : round) - place);
      if (inked && to > from) {
        piece(out, from, y0 + ((y1 - y0) * (from - x0)) / run, to, y0 + ((y1 - y0) * (to - x0)) / run);
      }
      place = inked && to < x1 ? DASH_ON_PX : 0;
      if (to <= from) break;
      from = to;
    }
  }
}

/** One piece of a broken line, joined to the last one when it goes on from there. */
function piece(out: Path, x0: number, y0: number, x1: number, y1: number): void {
  const last = 2 * (out.count - 1);
  const joined = out.count > 0 && out.points[last] === Math.fround(x0) && out.points[last + 1] === Math.fround(y0);
  if (!joined) {
    if (out.count > 0) out.add(x0, Number.NaN);
    out.add(x0, y0);
  }
  out.add(x1, y1);
}

/** Corners of a line as dots: all where there is room, else some of them, and each one that stands out. */
export function dots(line: Path, phase_px: number, out: Path): void {
  out.count = 0;
  let cell = Number.NaN;
  let height = Number.NaN;
  for (let k = 0; k < line.count; k++) {
    const x = line.points[2 * k];
    const y = line.points[2 * k + 1];
    const here = Math.floor((x + phase_px) / DOT_PX);
    if (here === cell && !(Math.abs(y - height) > STANDS_OUT_PX)) continue;
    if (Number.isNaN(y)) continue;
    cell = here;
    height = y;
    out.add(x, y);
  }
}

/**
 * Columns of lowest and highest as boxes side by side, each reaching as far as its neighbor, so that a step is a wall and not
 * a gap; at least `thick` high.
 *
 * @param broken leaves out boxes in the gaps of a dash, unless they stand out
 */
export function columnBoxes(
  pairs: Float32Array,
  first: number,
  end: number,
  step_s: number,
  map: Mapping,
  thick: number,
  broken: { readonly on_px: number; readonly off_px: number; readonly phase_px: number } | undefined,
  out: Path,
): void {
  out.count = 0;
  let above = Number.NaN;
  let below = Number.NaN;
  for (let k = first; k < end; k++) {
    const x0 = map.x0 + map.dx * k * step_s;
    const x1 = x0 + map.dx * step_s;
    let top = map.y0 + map.dy * pairs[2 * k + 1];
    let bottom = map.y0 + map.dy * pairs[2 * k];
    if (!(top <= bottom)) {
      if (out.count > 0 && !Number.isNaN(above)) out.add(x0, Number.NaN, Number.NaN);
      above = Number.NaN;
      below = Number.NaN;
      continue;
    }
    const ownTop = top;
    const ownBottom = bottom;
    if (below < top) top = below;
    if (above > bottom) bottom = above;
    above = ownTop;
    below = ownBottom;
    const tall = bottom - top > STANDS_OUT_PX;
    if (bottom - top < thick) {
      const middle = (top + bottom) / 2;
      top = middle - thick / 2;
      bottom = middle + thick / 2;
    }
    if (broken && !tall) {
      const round = broken.on_px + broken.off_px;
      let place = (x0 + broken.phase_px) % round;
      if (place < 0) place += round;
      if (place >= broken.on_px) {
        out.add(x0, Number.NaN, Number.NaN);
        continue;
      }
    }
    if (!out.widen(x0, x1, top, bottom)) {
      out.add(x0, top, bottom);
      out.add(x1, top, bottom);
    }
  }
}

export const DASH_COLUMNS = { on_px: DASH_ON_PX, off_px: DASH_OFF_PX };
export const DOT_COLUMNS = { on_px: 2, off_px: 3 };
