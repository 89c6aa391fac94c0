/**
 * From physics to converter counts: what the pins of the board read at the sampling instant.
 *
 * Model   a low-side shunt sees the current of its leg only while the low switch or its diode conducts, else zero; its
 *         amplifier needs time to settle (amplifier.ts). Current into the motor counts upwards from mid-scale, which
 *         the reference gives too. Every analog channel adds noise, rounds, and clips at the ends of the converter; link
 *         and phase voltages and currents are held against a reference that may be wrong or sink with the link, trigger and
 *         thermistors are ratios of it. The direction switch is read as levels; the Hall edge is time-stamped as a
 *         capture unit does it. Gyro: rate of the body about the spindle, positive as the screw goes in. Acceleration: along
 *         the tangent at the lever, gravity included, with the tool level at body angle zero.
 * Instant the sample of a period is taken near its start, the middle of the low-side interval, where with straight slopes
 *         the current equals its mean over the period. A delay, jitter or skew of some ns moves it along the present slope
 *         of the current; that is exact as long as no edge lies between. With two updates a period every other sample lies
 *         in the middle of the high side, where a low-side shunt sees nothing.
 */
import { legCurrent_A, PHASE_OF_LEG, phaseCurrent_A } from '../plant/axes.ts';
import { exponential, sine } from '../plant/elementary.ts';
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
import { settled_V } from './amplifier.ts';
import { type BoardParams, currentZero_counts, linkPerCount_V, phasePerCount_V } from './board.ts';
import { thermistorCounts } from './thermistor.ts';

const SEED = slot('seed');
const ON = slot('onA');
const DUE = slot('dueA');
const IN_UPDATE = slot('inPeriod');
const DIODE = slot('diodeA');
const SLOPE_A = slot('slopeAlpha');
const SLOPE_B = slot('slopeBeta');
const WIRING = slot('wiring');
const LINK = slot('link');
const SINK = slot('sinkHeat');
const WINDING = slot('windingHeat');
const MEAN = slot('meanA');
const FILTER = slot('filterA');
const BODY_ANGLE = slot('bodyAngle');
const BODY_SPEED = slot('bodySpeed');
const BODY_ACCEL = slot('bodyAccel');
const TRIGGER = slot('trigger');
const DIRECTION = slot('direction');
const HALL = slot('hall');
const HALL_EDGE = slot('hallEdge');

const GRAVITY_M_S2 = 9.80665;
const T25_K = 298.15;

export class Sensors {
  readonly board: BoardParams;
  private readonly top: number;
  private readonly zero: number;
  /** Counts of a volt at the converter, with its nominal reference. */ private readonly perVolt: number;
  private readonly perLink: number;
  private readonly perPhase: number;
  /** 1 for a leg whose shunt is fitted. */ private readonly fitted: Uint8Array;
  /** Nominal over true reference, at the present sample. */ private scale = 1;
  /** Moment of the present sample, after the start of the update [s]. */ private moment = 0;

  constructor(board: BoardParams) {
    this.board = board;
    this.top = 2 ** board.bits - 1;
    this.zero = currentZero_counts(board);
    this.perVolt = 2 ** board.bits / board.reference_V;
    this.perLink = 1 / linkPerCount_V(board);
    this.perPhase = 1 / phasePerCount_V(board);
    this.fitted = Uint8Array.from(['a', 'b', 'c'], (leg) => (board.shunts.includes(leg) ? 1 : 0));
  }

  /** Fills every field of `sense` from the plant as it stands; `boot` marks the first tick after power-up. */
  sample(plant: Plant, sense: Sense, boot: boolean): void {
    const x = plant.state;
    const b = this.board;
    const sunk = x[LINK] < b.dropout_V ? Math.max(0.05, x[LINK] / b.dropout_V) : 1;
    this.scale = 1 / ((1 + b.referenceError) * sunk);
    this.moment = b.sampleDelay_s + (b.jitter_s > 0 ? b.jitter_s * drawBell(x, SEED) : 0);
    sense.tick = plant.tick >>> 0;
    let flags = boot ? SENSE_BOOT : 0;
    if (x[DIRECTION] > 0) flags |= SENSE_IN;
    if (x[DIRECTION] < 0) flags |= SENSE_OUT;
    if (b.halls) flags |= x[HALL] * SENSE_HALL_A;
    sense.flags = flags;
    sense.ia = this.shunt(x, 0);
    sense.ib = this.shunt(x, 1);
    sense.ic = this.shunt(x, 2);
    sense.link = this.convert(x, x[LINK] * this.perLink * this.scale);
    const span = b.triggerHigh_counts - b.triggerLow_counts;
    sense.trigger = this.convert(x, b.triggerLow_counts + span * x[TRIGGER]);
    const age = b.halls ? (plant.time_s - x[HALL_EDGE]) / HALL_AGE_COUNT_S : HALL_AGE_MOST;
    sense.hallAge = age < HALL_AGE_MOST ? Math.floor(age) : HALL_AGE_MOST;
    sense.heatBridge = b.thermistors ? this.convert(x, thermistorCounts(b, x[SINK])) : NOT_FITTED;
    sense.heatMotor = b.thermistors ? this.convert(x, thermistorCounts(b, x[WINDING])) : NOT_FITTED;
    sense.phaseA = this.phase(x, 0, plant.period_s);
    sense.phaseB = this.phase(x, 1, plant.period_s);
    sense.phaseC = this.phase(x, 2, plant.period_s);
    sense.gyro = b.motion ? this.convert(x, this.zero + x[BODY_SPEED] / b.gyroPerCount_rad_s) : NOT_FITTED;
    const pull = b.accelLever_m * x[BODY_ACCEL] + GRAVITY_M_S2 * sine(x[BODY_ANGLE]);
    sense.accel = b.motion ? this.convert(x, this.zero + pull / b.accelPerCount_m_s2) : NOT_FITTED;
  }

  private shunt(x: Float64Array, k: number): number {
    if (this.fitted[k] === 0) return NOT_FITTED;
    const b = this.board;
    const low = lowConducts(x, k);
    let volts = 0;
    if (low || (!highConducts(x, k) && x[DIODE + k] === -1)) {
      const late = this.moment + k * b.skew_s;
      const phase = PHASE_OF_LEG[3 * x[WIRING] + k];
      // A settled amplifier follows a slope one time constant behind.
      const i = legCurrent_A(x, k) + phaseCurrent_A(phase, x[SLOPE_A], x[SLOPE_B]) * (late - b.settle_s);
      const goal = i * b.shunt_ohm * b.shuntGain * (1 + b.shuntGainError[k]);
      // A gate that is off leaves the current to its diode for long; one that is on has been so since its dead time ended.
      const since = x[ON + k] === -1 ? x[IN_UPDATE] + late - x[DUE + k] : 1;
      volts = settled_V(goal, since, b.settle_s, b.slew_V_s);
    }
    const offset = b.shuntOffset_counts[k] + b.shuntDrift_counts_K * (x[SINK] - T25_K);
    return this.convert(x, this.zero + offset + volts * this.perVolt * this.scale);
  }

  /** Mean of the last update behind a divider and its filter; the filter keeps its voltage in the plant vector. */
  private phase(x: Float64Array, k: number, period_s: number): number {
    const b = this.board;
    if (!b.phases) return NOT_FITTED;
    const left = b.phaseFilter_s > 0 ? exponential(-period_s / b.phaseFilter_s) : 0;
    x[FILTER + k] = x[MEAN + k] + (x[FILTER + k] - x[MEAN + k]) * left;
    return this.convert(x, x[FILTER + k] * this.perPhase * this.scale);
  }

  /** Noise, rounding, clipping. */
  private convert(x: Float64Array, counts: number): number {
    const noisy = counts + (this.board.noise_counts > 0 ? this.board.noise_counts * drawBell(x, SEED) : 0);
    const whole = Math.round(noisy);
    return whole < 0 ? 0 : Math.min(whole, this.top);
  }
}
