/** Turns one sample per PWM period into run columns (lowest, highest) and a ring of the last periods. */
import { SIGNAL_INDEX, SIGNALS } from '../src/signals.ts';
import {
  type BlockViews,
  HEAD_INDEX,
  LEAD_FLOOR_A,
  MAX_COLUMNS,
  MAX_TICKS,
  RUN,
  RUN_COLUMN_TICKS,
  TICK,
} from './block.ts';

const PAIRS = RUN.length * 2;
/** Columns that wait while the page does not take blocks: 20 s of a run at 5 ms; older ones are overwritten. */
const WAITING = 4096;

const TICK_COLUMNS = TICK.map((name) => (name === 'boardSpeed' || name === 'boardAngle' ? -1 : SIGNAL_INDEX[name]));
const BOARD_ANGLE = TICK.indexOf('boardAngle');
const DIRECT = RUN.map((name) =>
  name === 'phase' || name === 'lead' || name === 'boardSpeed' ? -1 : SIGNAL_INDEX[name],
);
const PHASE = RUN.indexOf('phase');
const LEAD = RUN.indexOf('lead');
const BOARD_SPEED = RUN.indexOf('boardSpeed');
const { currentA, currentB, currentC, currentD, currentQ } = SIGNAL_INDEX;

export class Recorder {
  private readonly columns = new Float32Array(WAITING * PAIRS);
  private readonly open = new Float32Array(PAIRS);
  private readonly ring = new Float32Array(MAX_TICKS * TICK.length);
  private readonly latest = new Float64Array(SIGNALS.length);
  private inColumn = 0;
  private made = 0;
  private taken = 0;
  private ticks = 0;
  private ticksTaken = 0;

  /**
   * Takes the sample of one period.
   *
   * @param boardSpeed_rad_s electrical speed by the controller, NaN for none
   * @param meets name of what the chuck meets; only a screw has a depth in the record, a hole has one in the latest sample
   * @param boardAngle_rad electrical rotor angle by the controller, NaN for none
   */
  note(sample: Float64Array, boardSpeed_rad_s: number, meets: string, boardAngle_rad: number): void {
    this.latest.set(sample);
    if (meets !== 'screw') this.latest[SIGNAL_INDEX.screwDepth] = Number.NaN;
    const at = (this.ticks % MAX_TICKS) * TICK.length;
    for (let k = 0; k < TICK_COLUMNS.length; k++) {
      this.ring[at + k] = TICK_COLUMNS[k] < 0 ? boardSpeed_rad_s : this.latest[TICK_COLUMNS[k]];
    }
    this.ring[at + BOARD_ANGLE] = boardAngle_rad;
    this.ticks++;
    if (this.inColumn === 0) this.empty();
    for (let k = 0; k < DIRECT.length; k++) if (DIRECT[k] >= 0) this.widen(k, this.latest[DIRECT[k]]);
    if (meets === 'wood' || meets === 'steel') this.latest[SIGNAL_INDEX.screwDepth] = sample[SIGNAL_INDEX.screwDepth];
    this.widen(BOARD_SPEED, boardSpeed_rad_s);
    this.widen(PHASE, sample[currentA]);
    this.widen(PHASE, sample[currentB]);
    this.widen(PHASE, sample[currentC]);
    const d = sample[currentD];
    const q = sample[currentQ];
    if (d * d + q * q > LEAD_FLOOR_A * LEAD_FLOOR_A) this.widen(LEAD, Math.atan2(q, d));
    if (++this.inColumn === RUN_COLUMN_TICKS) {
      this.columns.set(this.open, (this.made % WAITING) * PAIRS);
      this.made++;
      this.inColumn = 0;
    }
  }

  /** Writes what is new into a block: latest sample, finished columns, last periods. */
  fill(block: BlockViews): void {
    block.now.set(this.latest);
    if (this.made - this.taken > WAITING) this.taken = this.made - WAITING;
    const count = Math.min(this.made - this.taken, MAX_COLUMNS);
    block.head[HEAD_INDEX.firstColumn] = this.taken;
    block.head[HEAD_INDEX.columns] = count;
    for (let k = 0; k < count; k++) {
      const from = ((this.taken + k) % WAITING) * PAIRS;
      for (let j = 0; j < PAIRS; j++) block.run[k * PAIRS + j] = this.columns[from + j];
    }
    this.taken += count;

    const fresh = Math.min(this.ticks - this.ticksTaken, MAX_TICKS);
    const first = this.ticks - fresh;
    block.head[HEAD_INDEX.firstTick] = first;
    block.head[HEAD_INDEX.ticks] = fresh;
    for (let k = 0; k < fresh; k++) {
      const from = ((first + k) % MAX_TICKS) * TICK.length;
      for (let j = 0; j < TICK.length; j++) block.ticks[k * TICK.length + j] = this.ring[from + j];
    }
    this.ticksTaken = this.ticks;
  }

  /** Finished columns that no block has taken yet. */
  get waiting(): number {
    return this.made - this.taken;
  }

  /** Forgets everything: a run that goes on from a tick. Whole columns before it stay as the page has them. */
  clear(tick = 0): void {
    this.inColumn = tick % RUN_COLUMN_TICKS;
    this.made = Math.floor(tick / RUN_COLUMN_TICKS);
    this.taken = this.made;
    this.ticks = tick;
    this.ticksTaken = tick;
    this.latest.fill(0);
    this.empty();
  }

  private empty(): void {
    for (let k = 0; k < PAIRS; k += 2) {
      this.open[k] = Number.POSITIVE_INFINITY;
      this.open[k + 1] = Number.NEGATIVE_INFINITY;
    }
  }

  private widen(k: number, value: number): void {
    if (value < this.open[2 * k]) this.open[2 * k] = value;
    if (value > this.open[2 * k + 1]) this.open[2 * k + 1] = value;
  }
}
