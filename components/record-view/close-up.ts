/** Draws the close-up: every PWM period of the last milliseconds. */
import { displayUnit } from '../../src/units/convert.ts';
import { TICK, TICK_INDEX, type TickName } from '../../worker/block.ts';
import type { RunRecord } from '../session/run-record.ts';
import type { Palette } from '../waves/palette.ts';
import type { Pen } from '../waves/pen.ts';
import { CLOSE_TICKS, type Layout } from './layout.ts';
import { type Lane, yOf } from './scale.ts';

const points = new Float32Array((CLOSE_TICKS + 1) * 4);
const ANGLE = TICK_INDEX.rotorAngle;
const DEGREE = Math.PI / 180;
/** A dot for what is sensed at every sixth period: closer ones would look like a line, and hide the one below. */
const DOT_EVERY = 6;
const DOT = 2.8;

/** Middle of the sector that each Hall code stands for, with the Halls on the phase axes [electrical degrees]. */
const SECTOR_DEG: Readonly<Record<number, number>> = { 1: 0, 3: 60, 2: 120, 6: 180, 4: -120, 5: -60 };

export class CloseUp {
  /** Number after the last period shown, and of the first one. */ end = 0;
  private start = 0;
  /** Copy of the periods shown: a still outlives the ring that it was taken from. */
  private readonly taken = new Float32Array((CLOSE_TICKS + 1) * TICK.length);

  /**
   * Chooses the right edge: the newest period, or, to stand still while time runs fast, the newest one at which the
   * rotor passed zero.
   */
  aim(record: RunRecord, align: boolean): void {
    this.end = align ? this.aligned(record) : record.endTick;
    this.start = Math.max(record.firstTick, this.end - CLOSE_TICKS - 1);
    for (let k = this.start; k < this.end; k++) {
      for (let j = 0; j < TICK.length; j++) this.taken[(k - this.start) * TICK.length + j] = record.tick(k, j);
    }
  }

  /** Number of the first period shown; none are when it equals `end`. */
  get first(): number {
    return this.start;
  }

  /** Value of a channel in a period between `first` and `end`. */
  at(tick: number, channel: number): number {
    return this.taken[(tick - this.start) * TICK.length + channel];
  }

  private aligned(record: RunRecord): number {
    const least = Math.max(record.firstTick + CLOSE_TICKS, record.endTick - 90);
    for (let k = record.endTick - 1; k > least; k--) {
      if (Math.abs(record.tick(k, ANGLE) - record.tick(k - 1, ANGLE)) > Math.PI) return k + 1;
    }
    return record.endTick;
  }

  /** One channel as a line. */
  line(pen: Pen, layout: Layout, lane: Lane, name: TickName, color: string, width: number): void {
    const { factor } = displayUnit(lane.row.unit);
    const channel = TICK_INDEX[name];
    let n = 0;
    for (let k = this.start; k < this.end; k++) n = this.put(n, layout, k, yOf(lane, this.at(k, channel) / factor));
    pen.line(points, n, color, width);
  }

  /** One estimated channel, dashed: four periods of six. */
  dashes(pen: Pen, layout: Layout, lane: Lane, name: TickName, color: string): void {
    const { factor } = displayUnit(lane.row.unit);
    const channel = TICK_INDEX[name];
    let n = 0;
    for (let k = this.start; k < this.end; k++) {
      const y = k % 6 < 4 ? yOf(lane, this.at(k, channel) / factor) : Number.NaN;
      n = this.put(n, layout, k, y);
    }
    pen.line(points, n, color, 1.9);
  }

  /** One sensed channel as dots, each in a halo of the paper so that no line swallows it. */
  dots(pen: Pen, layout: Layout, lane: Lane, name: TickName, color: string, halo: string): void {
    const { factor } = displayUnit(lane.row.unit);
    const channel = TICK_INDEX[name];
    let n = 0;
    for (let k = this.start; k < this.end; k++) {
      if (k % DOT_EVERY === 0) n = this.put(n, layout, k, yOf(lane, this.at(k, channel) / factor));
    }
    pen.dots(points, n, halo, DOT + 1.6);
    pen.dots(points, n, color, DOT);
  }

  /** Rotor angle from -180 to 180 degrees, with a gap where it wraps. */
  angle(pen: Pen, layout: Layout, lane: Lane, palette: Palette): void {
    let n = 0;
    let before = Number.NaN;
    for (let k = this.start; k < this.end; k++) {
      let deg = this.at(k, ANGLE) / DEGREE;
      if (deg > 180) deg -= 360;
      if (Math.abs(deg - before) > 180) n = this.put(n, layout, k, Number.NaN);
      n = this.put(n, layout, k, yOf(lane, deg));
      before = deg;
    }
    pen.line(points, n, palette.ink, 1.9);
    n = 0;
    for (let k = this.start; k < this.end; k++) {
      const middle = SECTOR_DEG[this.at(k, TICK_INDEX.hall)];
      if (middle !== undefined) n = this.put(n, layout, k, yOf(lane, middle));
    }
    pen.dots(points, n, palette.ink2, 2.2);
  }

  /** Where a period stands. */
  x(layout: Layout, tick: number): number {
    const width = layout.width - layout.closeStart;
    return layout.closeStart + width * (1 - (this.end - 1 - tick) / CLOSE_TICKS);
  }

  private put(n: number, layout: Layout, tick: number, y: number): number {
    points[2 * n] = this.x(layout, tick);
    points[2 * n + 1] = y;
    return n + 1;
  }
}
