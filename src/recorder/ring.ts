/**
 * The last rows of a run in memory that does not grow, with smallest and largest values over ever longer stretches, so
 * that any window is drawn from few numbers, however long it is; and a stop some rows after an event, which leaves what
 * came before it as well as what came after. For the page, and for recording a burst around an event. Taking a row
 * allocates nothing.
 *
 * Rows are counted from the start and never renumbered: row r lies in place r modulo the capacity. Level l of the extremes
 * has one pair for each 16^l rows; a pair is begun anew when its first row arrives.
 */
import { SIGNALS } from '../signals.ts';

/** Rows, or pairs of the level below, that a pair stands for. */
const FACTOR = 16;

export class Ring {
  /** Rows that fit. */ readonly capacity: number;
  /** Rows taken since the start, those that fell out included. */ count = 0;
  private readonly columns: Int32Array;
  private readonly ticks: Float64Array;
  private readonly values: Float64Array;
  private readonly least: Float64Array[] = [];
  private readonly most: Float64Array[] = [];
  private stopAt = Number.POSITIVE_INFINITY;

  /**
   * @param rows that must fit; rounded up so that the levels divide it
   * @param columns of the sample vector that are kept
   */
  constructor(rows: number, columns: readonly number[] = SIGNALS.map((_, column) => column)) {
    if (!Number.isInteger(rows) || rows < 1) throw new RangeError(`${rows} rows in a ring; allowed is 1 or more`);
    let top = FACTOR;
    while (top * FACTOR <= rows) top *= FACTOR;
    this.capacity = Math.ceil(rows / top) * top;
    this.columns = Int32Array.from(columns);
    this.ticks = new Float64Array(this.capacity);
    this.values = new Float64Array(this.capacity * columns.length);
    for (let span = FACTOR; span <= top; span *= FACTOR) {
      const pairs = (this.capacity / span) * columns.length;
      this.least.push(new Float64Array(pairs));
      this.most.push(new Float64Array(pairs));
    }
  }

  /** Oldest row that is still there. */
  get oldest(): number {
    return Math.max(0, this.count - this.capacity);
  }

  /** True from the row on at which it was asked to stop. */
  get stopped(): boolean {
    return this.count >= this.stopAt;
  }

  /** Bytes it holds; no call changes that. */
  get bytes(): number {
    const levels = [...this.least, ...this.most].reduce((sum, { byteLength }) => sum + byteLength, 0);
    return this.ticks.byteLength + this.values.byteLength + levels;
  }

  /**
   * Takes that many rows more and then no other, so that the rows before the event stay. Asked again, the first stands.
   *
   * @param rows 0 to the capacity; with fewer than the capacity, the rest is the time before the event
   */
  stopAfter(rows: number): void {
    if (!(rows >= 0 && rows <= this.capacity))
      throw new RangeError(`stop after ${rows} rows; allowed is 0 to ${this.capacity}`);
    if (this.stopAt === Number.POSITIVE_INFINITY) this.stopAt = this.count + rows;
  }

  /** Takes rows again. */
  resume(): void {
    this.stopAt = Number.POSITIVE_INFINITY;
  }

  /** Takes a row unless stopped. @param sample every signal by SIGNAL_INDEX, or whatever `columns` index */
  push(tick: number, sample: Float64Array): void {
    if (this.count >= this.stopAt) return;
    const { columns, values, capacity, count } = this;
    const place = count % capacity;
    this.ticks[place] = tick;
    for (let k = 0; k < columns.length; k++) {
      const value = sample[columns[k]];
      values[k * capacity + place] = value;
      let span = FACTOR;
      for (let level = 0; level < this.least.length; level++, span *= FACTOR) {
        const pair = k * (capacity / span) + ((place / span) | 0);
        const least = this.least[level];
        const most = this.most[level];
        if (place % span === 0) {
          least[pair] = Number.POSITIVE_INFINITY;
          most[pair] = Number.NEGATIVE_INFINITY;
        }
        // A value inside what this level has seen is inside what the longer ones have; at their start they take it too.
        if (value < least[pair]) least[pair] = value;
        if (value > most[pair]) most[pair] = value;
      }
    }
    this.count = count + 1;
  }

  /** Tick of a row that is there; NaN of another. */
  tickAt(row: number): number {
    return row >= this.oldest && row < this.count ? this.ticks[row % this.capacity] : Number.NaN;
  }

  /** Value of a row that is there; NaN of another. @param column place in `columns` */
  valueAt(column: number, row: number): number {
    return row >= this.oldest && row < this.count
      ? this.values[column * this.capacity + (row % this.capacity)]
      : Number.NaN;
  }

  /** Fills a sample vector from a row that is there. @param out as long as the one that was pushed */
  copyRow(row: number, out: Float64Array): void {
    for (let k = 0; k < this.columns.length; k++) out[this.columns[k]] = this.valueAt(k, row);
  }

  /**
   * Smallest and largest value over equal parts of a window of rows, exact to the row: NaN where a part holds no reading.
   *
   * @param from first row, @param to row after the last; what is not there counts as no reading
   * @param least one number a part, @param most as many
   */
  window(column: number, from: number, to: number, least: Float64Array, most: Float64Array): void {
    const parts = least.length;
    for (let part = 0; part < parts; part++) {
      const begin = Math.max(this.oldest, from + Math.floor(((to - from) * part) / parts));
      const end = Math.min(this.count, from + Math.floor(((to - from) * (part + 1)) / parts));
      this.span(column, begin, end, part, least, most);
    }
  }

  private span(
    column: number,
    begin: number,
    end: number,
    part: number,
    least: Float64Array,
    most: Float64Array,
  ): void {
    const { capacity, values } = this;
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    let row = begin;
    while (row < end) {
      const place = row % capacity;
      let level = -1;
      let span = 1;
      while (level + 1 < this.least.length && place % (span * FACTOR) === 0 && row + span * FACTOR <= end) {
        level++;
        span *= FACTOR;
      }
      const at = level < 0 ? column * capacity + place : column * (capacity / span) + place / span;
      const lowest = level < 0 ? values[at] : this.least[level][at];
      const highest = level < 0 ? values[at] : this.most[level][at];
      if (lowest < low) low = lowest;
      if (highest > high) high = highest;
      row += span;
    }
    least[part] = low <= high ? low : Number.NaN;
    most[part] = low <= high ? high : Number.NaN;
  }
}
