/**
 * From physics to converter counts: what the pins of the board read at the sampling instant.
 *
 * Model   a low-side shunt sees the current of its leg only while the low switch or its diode conducts, else zero; the
 *         amplifier is read so that current into the motor counts upwards from mid-scale. Every analogue channel adds
 *         offset and noise, rounds, and clips at the ends of the converter. The direction switch is read as levels;
 *         the Hall edge is time-stamped as a capture unit does it.
 * Instant the sample of a period is taken at its start, the middle of the low-side interval, where with straight slopes
 *         the current equals its mean over the period.
 */
import { legCurrent_A } from '../plant/axes.ts';
import { highConducts, lowConducts } from '../plant/legs.ts';
import type { Plant } from '../plant/plant.ts';
import { drawBell } from '../plant/random.ts';
import { slot } from '../plant/slots.ts';
import {
  HALL_AGE_COUNT_S,
  HALL_AGE_MOST,
  NOT_FITTED,
  SENSE_BOOT,
  SENSE_HALL_A,
  SENSE_IN,
  SENSE_OUT,
  type Sense,
} from '../protocol/frames.ts';
import { type BoardParams, currentPerCount_A, currentZero_counts, linkPerCount_V } from './board.ts';

const SEED = slot('seed');
const DIODE = slot('diodeA');
const LINK = slot('link');
const TRIGGER = slot('trigger');
const DIRECTION = slot('direction');
const HALL = slot('hall');
const HALL_EDGE = slot('hallEdge');

export class Sensors {
  readonly board: BoardParams;
  private readonly top: number;
  private readonly zero: number;
  private readonly perAmpere: number;
  private readonly perVolt: number;
  /** 1 for a leg whose shunt is fitted. */ private readonly fitted: Uint8Array;

  constructor(board: BoardParams) {
    this.board = board;
    this.top = 2 ** board.bits - 1;
    this.zero = currentZero_counts(board);
    this.perAmpere = 1 / currentPerCount_A(board);
    this.perVolt = 1 / linkPerCount_V(board);
    this.fitted = Uint8Array.from(['a', 'b', 'c'], (leg) => (board.shunts.includes(leg) ? 1 : 0));
  }

  /** Fills every field of `sense` from the plant as it stands; `boot` marks the first tick after power-up. */
  sample(plant: Plant, sense: Sense, boot: boolean): void {
    const x = plant.state;
    const b = this.board;
    sense.tick = plant.tick >>> 0;
    let flags = boot ? SENSE_BOOT : 0;
    if (x[DIRECTION] > 0) flags |= SENSE_IN;
    if (x[DIRECTION] < 0) flags |= SENSE_OUT;
    if (b.halls) flags |= x[HALL] * SENSE_HALL_A;
    sense.flags = flags;
    sense.ia = this.shunt(x, 0);
    sense.ib = this.shunt(x, 1);
    sense.ic = this.shunt(x, 2);
    sense.link = this.convert(x, x[LINK] * this.perVolt);
    const span = b.triggerHigh_counts - b.triggerLow_counts;
    sense.trigger = this.convert(x, b.triggerLow_counts + span * x[TRIGGER]);
    const age = b.halls ? (plant.time_s - x[HALL_EDGE]) / HALL_AGE_COUNT_S : HALL_AGE_MOST;
    sense.hallAge = age < HALL_AGE_MOST ? Math.floor(age) : HALL_AGE_MOST;
  }

  private shunt(x: Float64Array, k: number): number {
    if (this.fitted[k] === 0) return NOT_FITTED;
    const conducts = lowConducts(x, k) || (!highConducts(x, k) && x[DIODE + k] === -1);
    const i = conducts ? legCurrent_A(x, k) : 0;
    return this.convert(x, this.zero + this.board.shuntOffset_counts[k] + i * this.perAmpere);
  }

  /** Noise, rounding, clipping. */
  private convert(x: Float64Array, counts: number): number {
    const noisy = counts + (this.board.noise_counts > 0 ? this.board.noise_counts * drawBell(x, SEED) : 0);
    const whole = Math.round(noisy);
    return whole < 0 ? 0 : Math.min(whole, this.top);
  }
}
