/**
 * One tick of the bench, the same for every coupling: who is asked when, what a command does, what is written down.
 *
 *   open    power-up is detected; with the logic supplied the sensors are read and the controller is to be asked
 *   (gap)   the controller answers: at once in process, after a while over a link
 *   again   what befalls board and frames (mishaps.ts) may ask it once more
 *   close   the command is put before the timer, the plant runs its period, the sample is taken
 *
 * Reads no clock and allocates nothing in a tick, so that the page and the command line run the same bits.
 */
import type { DrillParams } from '../plant/params.ts';
import { Plant } from '../plant/plant.ts';
import { slot } from '../plant/slots.ts';
import { blankDrive, blankSense } from '../protocol/codec.ts';
import { type Drive, DUTY_FULL, SENSE_HALL_SHIFT, type Sense } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { type BoardParams, currentPerCount_A, currentZero_counts, linkPerCount_V } from '../sensing/board.ts';
import { Sensors } from '../sensing/sensors.ts';
import { SIGNAL_INDEX, SIGNALS } from '../signals.ts';
import { ASKED, DOWN, type MishapCounts, Mishaps } from './mishaps.ts';

export interface BenchOptions {
  readonly drill: DrillParams;
  readonly board: BoardParams;
  /** Start of the noise and of the rotor angle, 0 to 2^32 - 1. */ readonly seed: number;
  /** Longest step of the plant [s], 0.25 to 2 us. */ readonly h_s: number;
  /** Electrical rotor angle at the start [rad]; drawn from the seed when left out. */
  readonly rotorAngle_rad?: number | undefined;
}

/** What happened beside the physics; every one is shown to the user. What was injected is counted apart. */
export interface Counters extends MishapCounts {
  /** PWM periods run. */ ticks: number;
  /** Periods that the controller was asked for. */ asked: number;
  /** Times that the logic supply came up. */ boots: number;
  /** Periods that were due and never run. */ lost: number;
  /** Answers to another tick than the one asked: not applied. */ late: number;
  /** Duties above full scale, clamped. */ dutyClamped: number;
}

const DUTY_A = slot('dutyA');
const GATES = slot('gates');
const HALL_BITS = 7;

export class BenchCore {
  readonly plant: Plant;
  readonly board: BoardParams;
  readonly hello: Hello;
  readonly sense: Sense = blankSense();
  readonly drive: Drive;
  /**
   * Every signal after the last tick, SI, by SIGNAL_INDEX. A shunt that is not fitted has no reading: NaN. A board
   * without supply reads nothing and commands nothing: zeros.
   */
  readonly sample = new Float64Array(SIGNALS.length);
  readonly counters: Counters = { ticks: 0, asked: 0, boots: 0, lost: 0, late: 0, dutyClamped: 0 };
  /** The Sense that the controller is asked with now, and where its answer goes. */
  protected heard: Sense = this.sense;
  protected reply: Drive;
  private readonly mishaps: Mishaps;
  /** Answers to a Sense that came too late. */ private readonly spare: Drive;
  private readonly sensors: Sensors;
  private readonly perCount_A: number;
  private readonly zero_counts: number;
  private readonly perCount_V: number;
  private wasPowered = false;
  private asking = false;
  /** Board or frames have had a mishap in this run. */ private amiss = false;
  /** The controller has been asked in this tick, with this tick number. */ private asked = false;
  private askedTick = 0;
  private lossReason = '';

  /** @param hello of the controller, already found to fit the board. Throws RangeError when an option is out of range. */
  constructor(options: BenchOptions, hello: Hello) {
    const { seed, h_s, rotorAngle_rad } = options;
    this.plant = new Plant(options.drill, rotorAngle_rad === undefined ? { seed, h_s } : { seed, h_s, rotorAngle_rad });
    this.board = options.board;
    this.hello = hello;
    this.drive = blankDrive(hello.watch.length);
    this.spare = blankDrive(hello.watch.length);
    this.reply = this.drive;
    this.mishaps = new Mishaps(this.plant, this.counters);
    this.sensors = new Sensors(options.board);
    this.perCount_A = currentPerCount_A(options.board);
    this.zero_counts = currentZero_counts(options.board);
    this.perCount_V = linkPerCount_V(options.board);
  }

  /** Why the controller is lost, '' while it is not. */
  get controllerLost(): string {
    return this.lossReason;
  }

  /** Opens all legs from the next update point on, for good. The first reason is kept. */
  loseController(reason: string): void {
    if (this.lossReason === '') this.lossReason = reason;
  }

  /** Books periods that were due and cannot be made up for. */
  noteLost(periods: number): void {
    this.counters.lost += periods;
  }

  /** Start of a tick. True: the controller is to answer `heard` into `reply` before close(). */
  protected open(): boolean {
    const { powered } = this.plant;
    const boot = powered && !this.wasPowered;
    this.wasPowered = powered;
    this.asking = powered && this.lossReason === '';
    if (powered) this.sensors.sample(this.plant, this.sense, boot);
    if (boot) this.counters.boots++;
    this.asked = this.asking;
    this.amiss = this.mishaps.begun();
    this.heard = this.amiss ? this.mishaps.heard : this.sense;
    this.reply = this.drive;
    if (this.amiss) this.openAmiss();
    if (this.asked) this.counters.asked++;
    return this.asked;
  }

  private openAmiss(): void {
    const { mishaps, drive } = this;
    if (!this.asking) {
      mishaps.dark();
      return;
    }
    const fate = mishaps.begin(this.sense);
    this.asked = fate === ASKED;
    this.askedTick = mishaps.heard.tick;
    if (fate !== DOWN) return;
    this.asking = false;
    drive.state = 0;
    drive.trip = 0;
    drive.watch.fill(0);
  }

  /** After an answer. True: the controller is to answer once more before close(). */
  protected again(): boolean {
    const { mishaps } = this;
    if (!this.amiss || !mishaps.again()) return false;
    if (mishaps.old) this.reply = this.spare;
    else this.askedTick = mishaps.heard.tick;
    return true;
  }

  /** The present ask repeats the one before: one tick for every board. */
  protected get repeats(): boolean {
    return this.amiss && this.mishaps.repeats;
  }

  /**
   * End of a tick: command, one PWM period, sample.
   *
   * @param onStep called after every step of the plant with `sample` as it stands there; the bits are the same
   */
  protected close(onStep?: () => void): void {
    const { plant, sample } = this;
    if (!this.asking || this.lossReason !== '') plant.command(0, 0, 0, 0);
    else if (this.amiss) this.commandAmiss();
    else this.command();
    sample[SIGNAL_INDEX.gates] = plant.state[GATES];
    sample[SIGNAL_INDEX.dutyA] = plant.state[DUTY_A];
    sample[SIGNAL_INDEX.dutyB] = plant.state[DUTY_A + 1];
    sample[SIGNAL_INDEX.dutyC] = plant.state[DUTY_A + 2];
    this.noteSensed();
    if (onStep) this.creep(onStep);
    else plant.runPeriod();
    plant.observe(sample);
    this.counters.ticks++;
  }

  private creep(onStep: () => void): void {
    const { plant, sample } = this;
    const { tick } = plant;
    while (plant.tick === tick && plant.fault === '') {
      plant.step();
      plant.observe(sample);
      onStep();
    }
  }

  private command(): void {
    const { drive, counters } = this;
    if (drive.tick !== this.sense.tick) {
      counters.late++; // The timer keeps what it has.
      return;
    }
    this.plant.command(drive.gates, this.duty(drive.dutyA), this.duty(drive.dutyB), this.duty(drive.dutyC));
  }

  /** The same where an answer may be missing, and a command on its way. */
  private commandAmiss(): void {
    const { drive, counters, mishaps, plant } = this;
    if (this.asked && drive.tick !== this.askedTick) counters.late++;
    else if (this.asked) mishaps.post(drive);
    if (!mishaps.take()) return;
    const { gates, dutyA, dutyB, dutyC } = mishaps.taken;
    plant.command(gates, this.duty(dutyA), this.duty(dutyB), this.duty(dutyC));
  }

  /** Counts to 0..1, as they would come over a wire: whole counts, nothing above full scale. */
  private duty(counts: number): number {
    if (counts >= 0 && counts <= DUTY_FULL) return Math.trunc(counts) / DUTY_FULL;
    this.counters.dutyClamped++;
    return counts > DUTY_FULL ? 1 : 0;
  }

  private noteSensed(): void {
    const { sample, sense, drive, asking } = this;
    const on = this.wasPowered;
    sample[SIGNAL_INDEX.sensedA] = this.current_A('a', sense.ia, on);
    sample[SIGNAL_INDEX.sensedB] = this.current_A('b', sense.ib, on);
    sample[SIGNAL_INDEX.sensedC] = this.current_A('c', sense.ic, on);
    sample[SIGNAL_INDEX.sensedLink] = on ? sense.link * this.perCount_V : 0;
    const { triggerLow_counts: low, triggerHigh_counts: high } = this.board;
    sample[SIGNAL_INDEX.sensedTrigger] = on ? (sense.trigger - low) / (high - low) : 0;
    sample[SIGNAL_INDEX.hall] = on ? (sense.flags >> SENSE_HALL_SHIFT) & HALL_BITS : 0;
    sample[SIGNAL_INDEX.controllerState] = asking ? drive.state : 0;
    sample[SIGNAL_INDEX.tripReason] = asking ? drive.trip : 0;
    sample[SIGNAL_INDEX.trigger] = this.plant.hands.get('trigger');
  }

  private current_A(leg: 'a' | 'b' | 'c', counts: number, on: boolean): number {
    if (!this.board.shunts.includes(leg)) return Number.NaN;
    return on ? (counts - this.zero_counts) * this.perCount_A : 0;
  }
}
