/**
 * Offset and drift of the clock of a board against ours, from signs of life.
 *
 * The stamp of the board lies between the instants at which we asked and heard, so each Beat bounds the offset by half its
 * round trip. Of every stretch of time only the fastest Beat is kept (the lower envelope of the round trips: whatever waits
 * in a queue only adds), and a straight line through those, by least squares, gives offset and drift. A Beat whose bounds
 * miss the line is not used; several in a row mean that the clock has jumped, and the estimate begins anew.
 */
import { Unwrap } from '../protocol/unwrap.ts';

/** Stretches of time that are kept, each with its fastest Beat. */
const STRETCHES = 64;
/** Length of a stretch at first [s]; when there are too many, two become one. */
const STRETCH_S = 1;
/** Beats off the line that mean a jump. */
const JUMP_BEATS = 3;
/** What a clock may be off its rate before the line is known: an oscillator without a crystal, 1 %. From memory. */
const DRIFT_MOST = 0.02;
/** A stretch whose fastest Beat took longer than this many times the fastest of all is left out. */
const HELD_UP = 2;
/** Grain of the stamp, twice, since both ends are rounded [s]. */
const GRAIN_S = 2e-6;

interface Mark {
  readonly stretch: number;
  readonly middle_s: number;
  readonly offset_s: number;
  readonly trip_s: number;
}

export interface ClockFit {
  /** Clock of the board less ours, at our time `at_s` [s]. */ readonly offset_s: number;
  readonly at_s: number;
  /** What the offset may be off at most, by the round trips [s]. */ readonly offsetWithin_s: number;
  /** How much faster the clock of the board runs, in parts of a million. */ readonly drift_ppm: number;
  /** What the drift may be off at most; Infinity before two stretches are used. */ readonly driftWithin_ppm: number;
  /** Stretches used. */ readonly marks: number;
  /** Beats off the line, not used. */ readonly rejected: number;
  /** Times that the clock was set or the board restarted. */ readonly jumps: number;
}

export class BoardClock {
  private readonly unwrap = new Unwrap(32);
  private marks: Mark[] = [];
  private stretch_s = STRETCH_S;
  private rejected = 0;
  private jumps = 0;
  private offLine = 0;

  /**
   * Takes a Beat that was answered.
   *
   * @param asked_s our clock when it was sent
   * @param came_s our clock when the answer was there
   * @param clock_us clock of the board, wraps at 2^32; 0: it has none
   */
  add(asked_s: number, came_s: number, clock_us: number): void {
    if (clock_us === 0 || !(came_s >= asked_s)) return;
    const board_s = this.unwrap.take(clock_us) * 1e-6;
    const middle_s = (asked_s + came_s) / 2;
    const mark = {
      stretch: Math.floor(middle_s / this.stretch_s),
      middle_s,
      offset_s: board_s - middle_s,
      trip_s: came_s - asked_s,
    };
    if (this.misses(mark)) {
      this.rejected++;
      if (++this.offLine < JUMP_BEATS) return;
      this.jumps++;
      this.marks = [];
      this.unwrap.reset();
      mark.offset_s = this.unwrap.take(clock_us) * 1e-6 - middle_s;
    }
    this.offLine = 0;
    this.keep(mark);
  }

  /** The estimate as it stands; undefined before the first Beat with a clock. */
  fit(): ClockFit | undefined {
    const fastest_s = Math.min(...this.marks.map((mark) => mark.trip_s));
    // A stretch in which every Beat was held up says little, and would bend the line.
    const marks = this.marks.filter((mark) => mark.trip_s <= HELD_UP * fastest_s + GRAIN_S);
    if (marks.length === 0) return undefined;
    const at_s = marks[marks.length - 1].middle_s;
    const within_s = Math.max(...marks.map((mark) => mark.trip_s)) / 2 + GRAIN_S;
    const { slope, offset_s, leverage_1_s, lever_s } = line(marks, at_s);
    return Object.freeze({
      offset_s,
      at_s,
      offsetWithin_s: within_s + (lever_s === 0 ? 0 : within_s * leverage_1_s * lever_s),
      drift_ppm: slope * 1e6,
      driftWithin_ppm: within_s * leverage_1_s * 1e6,
      marks: marks.length,
      rejected: this.rejected,
      jumps: this.jumps,
    });
  }

  /** Whether the bounds of a Beat lie wholly beside the line. */
  private misses(mark: Mark): boolean {
    const fit = this.fit();
    if (!fit) return false;
    const ahead_s = mark.middle_s - fit.at_s;
    const slack = Math.min(fit.driftWithin_ppm * 1e-6, DRIFT_MOST);
    const expected_s = fit.offset_s + fit.drift_ppm * 1e-6 * ahead_s;
    const allowed_s = mark.trip_s / 2 + GRAIN_S + fit.offsetWithin_s + slack * Math.abs(ahead_s);
    return Math.abs(mark.offset_s - expected_s) > allowed_s;
  }

  private keep(mark: Mark): void {
    const last = this.marks[this.marks.length - 1];
    if (last?.stretch !== mark.stretch) this.marks.push(mark);
    else if (mark.trip_s < last.trip_s) this.marks[this.marks.length - 1] = mark;
    if (this.marks.length > STRETCHES) this.halve();
  }

  /** Two stretches become one, so that an hour costs no more than a minute. */
  private halve(): void {
    this.stretch_s *= 2;
    const old = this.marks;
    this.marks = [];
    for (const mark of old) this.keep({ ...mark, stretch: Math.floor(mark.middle_s / this.stretch_s) });
  }
}

/**
 * Least squares through the marks. When each is off by at most e, the slope is off by at most e * leverage_1_s, and the offset
 * at `at_s` by e more than that over lever_s. One mark has no slope.
 */
function line(marks: readonly Mark[], at_s: number) {
  const n = marks.length;
  const middle_s = marks.reduce((sum, mark) => sum + mark.middle_s, 0) / n;
  const offset_s = marks.reduce((sum, mark) => sum + mark.offset_s, 0) / n;
  let product = 0;
  let square = 0;
  let absolute = 0;
  for (const mark of marks) {
    const x = mark.middle_s - middle_s;
    product += x * (mark.offset_s - offset_s);
    square += x * x;
    absolute += Math.abs(x);
  }
  const lever_s = at_s - middle_s;
  if (square === 0) return { slope: 0, offset_s, leverage_1_s: Number.POSITIVE_INFINITY, lever_s };
  const slope = product / square;
  return { slope, offset_s: offset_s + slope * lever_s, leverage_1_s: absolute / square, lever_s };
}
