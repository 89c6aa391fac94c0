/**
 * From physics to converter counts: what the pins of the board read at the sampling instant.
 *
 * Model   a low-side shunt sees the current of its leg only while the low switch or its diode conducts, else zero; its
 *         amplifier needs time to settle (amplifier.ts). With both switches of a leg on, by a short, it sees what the
 *         link drives through them. Current into the motor counts upwards from mid-scale, which the reference gives too.
 *         Every analog channel adds noise, rounds, and clips at the ends of the converter. Link and phase voltages and
 *         currents are held against a reference that may be wrong or sinks in proportion to the link when that is too
 *         low for the regulator; trigger and thermistors are ratios of it, and the motion sensors are taken as such too.
 *         The direction switch is read as levels; the Hall edge is time-stamped as a capture unit does it. Phase voltage:
 *         mean of the last update through the filter of the divider, which is slow against it. Gyro: rate of the body
 *         about the spindle, positive as the screw goes in. Acceleration: along the tangent at the lever, gravity included,
 *         with the tool level at body angle zero.
 * Instant the sample of a period is taken near its start, the middle of the low-side interval, where with straight slopes
 *         the current equals its mean over the period. A delay, jitter or skew of some ns moves it along the present slope
 *         of the current; that is exact as long as no edge of another leg lies between. A low side conducts from the end
 *         of its dead time to the rise of the high side; its diode adds both dead times while current flows out of the
 *         leg. What the amplifier reaches in that window, and what it loses after it, is all that the converter can hold:
 *         (1 - d) T has to leave room for dead time, settling and delay. With two updates a period every other sample
 *         lies in the middle of the high side, where a low-side shunt sees nothing.
 * Damage  channels.ts, thermistor.ts and switches.ts; what is whole adds zeros and multiplies by ones.
 */
import { legCurrent_A, PHASE_OF_LEG } from '../plant/axes.ts';
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
import { exponential, sine } from '../units/elementary.ts';
import { settled_V } from './amplifier.ts';
import { type BoardParams, currentPerCount_A, currentZero_counts, linkPerCount_V, phasePerCount_V } from './board.ts';
import { CH, CHANNELS, holdStuck } from './channels.ts';
import { readTrigger, readWay } from './switches.ts';
import { renewFelt, wiredCounts } from './thermistor.ts';

const SEED = slot('seed');
const IN_UPDATE = slot('inPeriod');
const DUE = slot('dueA');
const GATES = slot('gates');
const DUTY = slot('dutyA');
const HALF = slot('half');
const DIODE = slot('diodeA');
const LINK = slot('link');
const SINK = slot('sinkHeat');
const MEAN = slot('meanA');
const FILTER = slot('filterA');
const BODY_ANGLE = slot('bodyAngle');
const BODY_SPEED = slot('bodySpeed');
const BODY_ACCEL = slot('bodyAccel');
const HALL = slot('hall');
const HALL_EDGE = slot('hallEdge');
const OFF = slot('shuntOffA');
const GAIN = slot('shuntGainA');
const DRIFT = slot('shuntDriftA');
const NOISE = slot('shuntNoise');
const CLIP = slot('shuntClip');
const SWAPPED = slot('sensesSwapped');
const LATE = slot('sampleLate');
const JITTER = slot('sampleJitter');
const LINK_GAIN = slot('linkGain');
const LINK_OFF = slot('linkOff');
const REFERENCE = slot('referenceOff');
const FELT = slot('feltBridge');
const NTC = slot('ntcBridge');
const WIPER_NOISE = slot('wiperNoise');

const GRAVITY_M_S2 = 9.80665;
const T25_K = 298.15;
/** Longer than any update. */
const FOREVER_S = 1;
/** Deepest the reference sinks, as a share: below it no logic runs. */
const LOWEST_REFERENCE = 0.05;

export class Sensors {
  readonly board: BoardParams;
  private readonly zero: number;
  /** Counts of a volt at the converter, with its nominal reference. */ private readonly perVolt: number;
  private readonly perLink: number;
  private readonly perPhase: number;
  /** Counts of an ampere, with the nominal reference. */ private readonly perAmpere: number;
  /** 1 for a channel that is fitted. */ private readonly fitted: Uint8Array;
  /** Counts of every channel before noise and rounding. */ private readonly raw = new Float64Array(CHANNELS);
  /** Deviation of its noise. */ private readonly rough: Float64Array;
  /** And as they are read. */ private readonly read = new Uint16Array(CHANNELS);
  /** Nominal over true reference; moment of the hold after now [s]; of the present sample. */
  private readonly now = Float64Array.of(1, 0);

  constructor(board: BoardParams) {
    this.board = board;
    this.zero = currentZero_counts(board);
    this.perVolt = 2 ** board.bits / board.reference_V;
    this.perLink = 1 / linkPerCount_V(board);
    this.perPhase = 1 / phasePerCount_V(board);
    this.perAmpere = 1 / currentPerCount_A(board);
    this.rough = new Float64Array(CHANNELS).fill(board.noise_counts);
    const { shunts, thermistors: t, phases: p, motion: m } = board;
    const legs = ['a', 'b', 'c'].map((leg) => shunts.includes(leg));
    this.fitted = Uint8Array.from([...legs, true, true, t, t, p, p, p, m, m], Number);
  }

  /** Fills every field of `sense` from the plant as it stands; `boot` marks the first tick after power-up. */
  sample(plant: Plant, sense: Sense, boot: boolean): void {
    const { state: x, time_s } = plant;
    const { board: b, read } = this;
    this.reach(plant);
    this.convert(x);
    sense.tick = plant.tick >>> 0;
    let flags = boot ? SENSE_BOOT : 0;
    const way = readWay(x, time_s);
    if ((way & 1) !== 0) flags |= SENSE_IN;
    if ((way & 2) !== 0) flags |= SENSE_OUT;
    if (b.halls) flags |= x[HALL] * SENSE_HALL_A;
    sense.flags = flags;
    sense.ia = read[CH.ia];
    sense.ib = read[CH.ia + 1];
    sense.ic = read[CH.ia + 2];
    sense.link = read[CH.link];
    sense.trigger = read[CH.trigger];
    const age = b.halls ? (time_s - x[HALL_EDGE]) / HALL_AGE_COUNT_S : HALL_AGE_MOST;
    sense.hallAge = age < HALL_AGE_MOST ? Math.floor(age) : HALL_AGE_MOST;
    sense.heatBridge = read[CH.heatBridge];
    sense.heatMotor = read[CH.heatMotor];
    sense.phaseA = read[CH.phaseA];
    sense.phaseB = read[CH.phaseA + 1];
    sense.phaseC = read[CH.phaseA + 2];
    sense.gyro = read[CH.gyro];
    sense.accel = read[CH.accel];
  }

  /** What every channel stands at. */
  private reach(plant: Plant): void {
    const x = plant.state;
    const { board: b, raw, now, fitted } = this;
    const sunk = x[LINK] < b.dropout_V ? Math.max(LOWEST_REFERENCE, x[LINK] / b.dropout_V) : 1;
    const jitter_s = b.jitter_s + x[JITTER];
    now[0] = 1 / ((1 + b.referenceError + x[REFERENCE]) * sunk);
    now[1] = b.sampleDelay_s + x[LATE] + (jitter_s > 0 ? jitter_s * drawBell(x, SEED) : 0);
    for (let k = 0; k < 3; k++) if (fitted[CH.ia + k] === 1) this.shunt(plant, k);
    raw[CH.link] = (x[LINK] * (1 + x[LINK_GAIN]) + x[LINK_OFF]) * this.perLink * now[0];
    raw[CH.trigger] = readTrigger(plant, b);
    if (b.thermistors) {
      renewFelt(x, plant.time_s);
      raw[CH.heatBridge] = wiredCounts(b, x[FELT], x[NTC]);
      raw[CH.heatMotor] = wiredCounts(b, x[FELT + 1], x[NTC + 1]);
    }
    if (b.phases) this.phases(plant);
    if (!b.motion) return;
    raw[CH.gyro] = this.zero + x[BODY_SPEED] / b.gyroPerCount_rad_s;
    const pull = b.accelLever_m * x[BODY_ACCEL] + GRAVITY_M_S2 * sine(x[BODY_ANGLE]);
    raw[CH.accel] = this.zero + pull / b.accelPerCount_m_s2;
  }

  private shunt(plant: Plant, k: number): void {
    const x = plant.state;
    const { board: b, raw, now } = this;
    // The shunt whose line the channel sees.
    const leg = PHASE_OF_LEG[3 * x[SWAPPED] + k];
    const high = highConducts(x, leg);
    let volts = 0;
    if (this.fitted[CH.ia + leg] === 0) volts = 0;
    else if (lowConducts(x, leg)) volts = high ? this.through_V(plant, leg, k) : this.settling_V(plant, leg, k);
    else if (!high && x[DIODE + leg] === -1) volts = this.settling_V(plant, leg, k);
    const warm_K = x[SINK] - T25_K;
    const offset = b.shuntOffset_counts[k] + b.shuntDrift_counts_K * warm_K;
    const gained = (x[OFF + k] + x[DRIFT + k] * warm_K) * this.perAmpere;
    raw[CH.ia + k] = this.zero + (offset + gained) + volts * this.perVolt * now[0];
  }

  /** Gain of channel k over that of the board. */
  private gain(x: Float64Array, k: number): number {
    return 1 + this.board.shuntGainError[k] + x[GAIN + k];
  }

  /** Amplifier k of a leg whose low side conducts now, at the moment the converter holds it [V]. */
  private settling_V(plant: Plant, leg: number, k: number): number {
    const x = plant.state;
    const b = this.board;
    const { deadTime_s, pwm_Hz, updates } = plant.params.bridge;
    const start = x[IN_UPDATE];
    const late = start + this.now[1] + k * b.skew_s;
    const before = legCurrent_A(x, leg);
    // Current out of the leg flows through the low diode in the dead times too.
    const lead = before > 0 ? deadTime_s : 0;
    const duty = x[DUTY + leg];
    const rise = (0.5 / pwm_Hz) * (1 - duty);
    const rises = ((x[GATES] >> leg) & 1) === 1 && duty > 0 && start <= rise && (updates === 1 || x[HALF] === 0);
    const from = x[DUE + leg] - lead;
    const until = rises ? rise + lead : FOREVER_S;
    const seen = Math.min(late, until);
    // A settled amplifier follows a slope one time constant behind.
    const goal = plant.shunt_A(leg, seen - start - b.settle_s) * b.shunt_ohm * b.shuntGain * this.gain(x, k);
    const reached = settled_V(goal, seen - from, b.settle_s, b.slew_V_s);
    return late > until ? reached - settled_V(reached, late - until, b.settle_s, b.slew_V_s) : reached;
  }

  /** Amplifier k of a leg with both switches on: far beyond the converter, so resistances as at 25 °C do [V]. */
  private through_V(plant: Plant, leg: number, k: number): number {
    const b = this.board;
    const { rds_ohm, shunt_ohm } = plant.params.bridge;
    const low = rds_ohm + shunt_ohm;
    const pole = (plant.state[LINK] * low - legCurrent_A(plant.state, leg) * rds_ohm * low) / (rds_ohm + low);
    return (-pole / low) * b.shunt_ohm * b.shuntGain * this.gain(plant.state, k);
  }

  /** Means of the last update behind dividers and filters; the filters keep their voltages in the plant vector. */
  private phases(plant: Plant): void {
    const x = plant.state;
    const tau = this.board.phaseFilter_s;
    const left = tau > 0 ? exponential(-plant.period_s / tau) : 0;
    for (let k = 0; k < 3; k++) {
      x[FILTER + k] = x[MEAN + k] + (x[FILTER + k] - x[MEAN + k]) * left;
      this.raw[CH.phaseA + k] = x[FILTER + k] * this.perPhase * this.now[0];
    }
  }

  /** Noise, rounding, clipping, standing still. */
  private convert(x: Float64Array): void {
    const { board, raw, read, fitted, rough, zero } = this;
    const top = 2 ** board.bits - 1;
    const lowest = Math.ceil(x[CLIP] * zero);
    const highest = Math.floor(top - x[CLIP] * (top - zero));
    for (let k = 0; k < 3; k++) rough[CH.ia + k] = board.noise_counts + x[NOISE] * this.perAmpere;
    rough[CH.trigger] = board.noise_counts + x[WIPER_NOISE] * (board.triggerHigh_counts - board.triggerLow_counts);
    for (let k = 0; k < CHANNELS; k++) {
      if (fitted[k] === 0) {
        read[k] = NOT_FITTED;
        continue;
      }
      const whole = Math.round(raw[k] + (rough[k] > 0 ? rough[k] * drawBell(x, SEED) : 0));
      const low = k < 3 ? lowest : 0;
      read[k] = whole < low ? low : Math.min(whole, k < 3 ? highest : top);
    }
    holdStuck(x, read, fitted, top);
  }
}
