/**
 * What a run leaves behind: every signal and watch value at every PWM period of the last 10 s, and lowest and highest per 5 ms of
 * the last 10 min. All room is taken when made; a period writes numbers and allocates nothing.
 *
 * Numbers  period n begins at tick n and ends at tick n + 1; its row is what stands at its end. Moments are tick numbers here:
 *          what is kept is as exact after 10 h as at the start.
 */
import { SIGNALS } from '../src/signals.ts';

const SIGNAL_COUNT = SIGNALS.length;
/** Time of which every period is kept, and of which spans are kept [s]. */
const RING_S = 10;
const COLUMNS_S = 600;
/** Periods of a column: 5 ms at 20 kHz. */
export const COLUMN_TICKS = 100;

export class Archive {
  readonly period_s: number;
  /** Numbers of a row: signals, then watch values. */ readonly width: number;
  private readonly ringTicks: number;
  private readonly ring: Float32Array;
  private readonly columnsMost: number;
  private readonly columns: Float32Array;
  /** Of the column that is not full yet. */ private readonly open: Float32Array;
  /** First period. */ private begin: number;
  /** Rows are kept from here on. */ private ringBegin: number;
  private ended: number;

  /** @param tick at which the run begins; @param seconds of which every period is kept and of which spans are */
  constructor(period_s: number, watchCount: number, tick: number, ring_s = RING_S, columns_s = COLUMNS_S) {
    this.period_s = period_s;
    this.width = SIGNAL_COUNT + watchCount;
    this.ringTicks = Math.ceil(ring_s / period_s);
    this.ring = new Float32Array(this.ringTicks * this.width);
    this.columnsMost = Math.ceil(columns_s / period_s / COLUMN_TICKS);
    this.columns = new Float32Array(this.columnsMost * this.width * 2);
    this.open = new Float32Array(this.width * 2);
    this.begin = tick;
    this.ringBegin = tick;
    this.ended = tick;
    this.empty();
  }

  /** Number after the last period: the tick at which what is kept ends. */
  get end(): number {
    return this.ended;
  }

  /** Rows are kept from this period on. */
  get firstRow(): number {
    return Math.max(this.ringBegin, this.ended - this.ringTicks);
  }

  /** Spans are kept from this period on. */
  get first(): number {
    const columns = Math.floor(this.ended / COLUMN_TICKS) - this.columnsMost;
    return Math.max(this.begin, columns * COLUMN_TICKS);
  }

  /** Takes the next period. @param watch of the controller; undefined when it says nothing */
  note(sample: Float64Array, watch: ArrayLike<number> | undefined): void {
    const { ring, open, width } = this;
    const at = (this.ended % this.ringTicks) * width;
    for (let k = 0; k < SIGNAL_COUNT; k++) {
      const v = sample[k];
      ring[at + k] = v;
      if (v < open[2 * k]) open[2 * k] = v;
      if (v > open[2 * k + 1]) open[2 * k + 1] = v;
    }
    for (let k = SIGNAL_COUNT; k < width; k++) {
      const v = watch ? watch[k - SIGNAL_COUNT] : Number.NaN;
      ring[at + k] = v;
      if (v < open[2 * k]) open[2 * k] = v;
      if (v > open[2 * k + 1]) open[2 * k + 1] = v;
    }
    this.ended++;
    if (this.ended % COLUMN_TICKS !== 0) return;
    const column = this.ended / COLUMN_TICKS - 1;
    this.columns.set(open, (column % this.columnsMost) * width * 2);
    this.empty();
  }

  /** One number of a period that `firstRow` and `end` allow; NaN elsewhere. */
  row(period: number, channel: number): number {
    if (period < this.firstRow || period >= this.ended) return Number.NaN;
    return this.ring[(period % this.ringTicks) * this.width + channel];
  }

  /**
   * Widens out[at], out[at + 1] by lowest and highest of a column; both stay as they are where nothing was read.
   *
   * @param column number of a column: its first period over COLUMN_TICKS
   */
  widen(column: number, channel: number, out: Float32Array, at: number): void {
    const last = Math.floor(this.ended / COLUMN_TICKS);
    if (column > last || column < last - this.columnsMost || (column + 1) * COLUMN_TICKS <= this.begin) return;
    const from = column === last ? this.open : this.columns;
    const place = (column === last ? 0 : (column % this.columnsMost) * this.width * 2) + 2 * channel;
    if (from[place] < out[at]) out[at] = from[place];
    if (from[place + 1] > out[at + 1]) out[at + 1] = from[place + 1];
  }

  /** Forgets the periods from `tick` on, which is the first of a column; the next note is of that period. */
  cut(tick: number): void {
    this.ringBegin = Math.min(tick, this.firstRow);
    this.begin = Math.min(tick, this.first);
    this.ended = tick;
    this.empty();
  }

  /** The same of its own. */
  copy(): Archive {
    const { ring, columns, ringTicks, columnsMost, width, ended } = this;
    const copy = new Archive(this.period_s, width - SIGNAL_COUNT, this.begin, 0, 0);
    const filled = (all: Float32Array, used: number, each: number) =>
      used >= all.length / each ? all.slice() : withRoom(all.subarray(0, Math.ceil(used) * each), all.length);
    return Object.assign(copy, {
      ring: filled(ring, ended, width),
      columns: filled(columns, ended / COLUMN_TICKS + 1, width * 2),
      open: this.open.slice(),
      ringTicks,
      columnsMost,
      ringBegin: this.firstRow,
      begin: this.first,
      ended,
    });
  }

  private empty(): void {
    for (let k = 0; k < this.open.length; k += 2) {
      this.open[k] = Number.POSITIVE_INFINITY;
      this.open[k + 1] = Number.NEGATIVE_INFINITY;
    }
  }
}

function withRoom(from: Float32Array, length: number): Float32Array {
  const all = new Float32Array(length);
  all.set(from);
  return all;
}
