/** What the page keeps of a run: run columns, the last PWM periods, the latest sample. Plain arrays, never reactive. */
import { SIGNALS } from '../../src/signals.ts';
import {
  type BlockViews,
  HEAD,
  HEAD_INDEX,
  type HeadName,
  MAX_TICKS,
  RUN,
  RUN_COLUMN_TICKS,
  TICK,
} from '../../worker/block.ts';

const PAIRS = RUN.length * 2;
/** 60 s at 5 ms: many widths of the run track. */
const KEPT_COLUMNS = 12_000;
/** Twice what the close-up can show, so that its right edge may move to a rotor angle of zero. */
const KEPT_TICKS = 2 * MAX_TICKS;

export class RunRecord {
  readonly now = new Float64Array(SIGNALS.length);
  readonly head = new Float64Array(HEAD.length);
  /** Seconds that one run column spans. */ readonly column_s: number;
  readonly tick_s: number;
  private readonly columns = new Float32Array(KEPT_COLUMNS * PAIRS);
  private readonly ticks = new Float32Array(KEPT_TICKS * TICK.length);
  private columnEnd = 0;
  private columnStart = 0;
  private tickEnd = 0;
  private tickStart = 0;

  constructor(pwm_Hz: number) {
    this.tick_s = 1 / pwm_Hz;
    this.column_s = RUN_COLUMN_TICKS / pwm_Hz;
  }

  /** Number after the last run column; columns from `firstColumn` on are kept. */
  get endColumn(): number {
    return this.columnEnd;
  }

  get firstColumn(): number {
    return Math.max(this.columnStart, this.columnEnd - KEPT_COLUMNS);
  }

  /** Number after the last tick; ticks from `firstTick` on follow each other without a gap. */
  get endTick(): number {
    return this.tickEnd;
  }

  get firstTick(): number {
    return Math.max(this.tickStart, this.tickEnd - KEPT_TICKS);
  }

  headValue(name: HeadName): number {
    return this.head[HEAD_INDEX[name]];
  }

  /** Takes what a block brings. Another epoch starts anew. */
  absorb(block: BlockViews): void {
    const { head } = block;
    if (head[HEAD_INDEX.epoch] !== this.head[HEAD_INDEX.epoch]) {
      this.columnEnd = head[HEAD_INDEX.firstColumn];
      this.columnStart = this.columnEnd;
      this.tickStart = head[HEAD_INDEX.firstTick];
    } else if (head[HEAD_INDEX.turn] !== this.head[HEAD_INDEX.turn]) this.turnBack(head);
    this.head.set(head);
    this.now.set(block.now);
    // Columns that the worker had to drop leave a gap: unknown, not zero.
    const first = head[HEAD_INDEX.firstColumn];
    for (; this.columnEnd < first; this.columnEnd++) {
      const to = this.slot(this.columnEnd);
      this.columns.fill(Number.NaN, to, to + PAIRS);
    }
    for (let k = 0; k < head[HEAD_INDEX.columns]; k++) {
      const to = this.slot(this.columnEnd++);
      for (let j = 0; j < PAIRS; j++) this.columns[to + j] = block.run[k * PAIRS + j];
    }
    if (head[HEAD_INDEX.ticks] === 0) return;
    if (head[HEAD_INDEX.firstTick] !== this.tickEnd) this.tickStart = head[HEAD_INDEX.firstTick];
    this.tickEnd = head[HEAD_INDEX.firstTick];
    for (let k = 0; k < head[HEAD_INDEX.ticks]; k++) {
      const to = (this.tickEnd++ % KEPT_TICKS) * TICK.length;
      for (let j = 0; j < TICK.length; j++) this.ticks[to + j] = block.ticks[k * TICK.length + j];
    }
  }

  /** The run went back: what came after is not shown, and comes again if it is gone through again. */
  private turnBack(head: Float64Array): void {
    this.columnStart = this.firstColumn;
    this.columnEnd = Math.min(this.columnEnd, head[HEAD_INDEX.firstColumn]);
    this.columnStart = Math.min(this.columnStart, this.columnEnd);
    this.tickStart = head[HEAD_INDEX.firstTick];
    this.tickEnd = this.tickStart;
  }

  /** Lowest (side 0) or highest (side 1) value of a run column. */
  column(number: number, channel: number, side: 0 | 1): number {
    return this.columns[this.slot(number) + 2 * channel + side];
  }

  /** Value of a channel at a tick. */
  tick(number: number, channel: number): number {
    return this.ticks[(number % KEPT_TICKS) * TICK.length + channel];
  }

  private slot(column: number): number {
    return (column % KEPT_COLUMNS) * PAIRS;
  }
}
