/**
 * One tick of the bench, the same for every coupling: who is asked when, what a command does, what is written down.
 *
 *   open    power-up is detected; with the logic supplied the sensors are read and the controller is to be asked
 *   (gap)   the controller answers: at once in process, after a while over a link
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

export interface BenchOptions {
  readonly drill: DrillParams;
  readonly board: BoardParams;
  /** Start of the noise and of the rotor angle, 0 to 2^32 - 1. */ readonly seed: number;
  /** Longest step of the plant [s], 0.25 to 2 us. */ readonly h_s: number;
}

/** What happened beside the physics; every one is shown to the user. */
export interface Counters {
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
  private readonly sensors: Sensors;
  private readonly perCount_A: number;
  private readonly zero_counts: number;
  private readonly perCount_V: number;
  private wasPowered = false;
  private asking = false;
  private lossReason = '';

  /** @param hello of the controller, already found to fit the board. Throws RangeError when an option is out of range. */
  constructor(options: BenchOptions, hello: Hello) {
    this.plant = new Plant(options.drill, { seed: options.seed, h_s: options.h_s });
    this.board = options.board;
    this.hello = hello;
    this.drive = blankDrive(hello.watch.length);
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

  /** Start of a tick. True: `sense` is fresh and the controller is to fill `drive` before close(). */
  protected open(): boolean {
    const { powered } = this.plant;
    const boot = powered && !this.wasPowered;
    this.wasPowered = powered;
    this.asking = powered && this.lossReason === '';
    if (powered) this.sensors.sample(this.plant, this.sense, boot);
    if (boot) this.counters.boots++;
    if (this.asking) this.counters.asked++;
    return this.asking;
  }

  /** End of a tick: command, one PWM period, sample. */
  protected close(): void {
    const { plant, sample } = this;
    if (this.asking && this.lossReason === '') this.command();
    else plant.command(0, 0, 0, 0);
    sample[SIGNAL_INDEX.gates] = plant.state[GATES];
    sample[SIGNAL_INDEX.dutyA] = plant.state[DUTY_A];
    sample[SIGNAL_INDEX.dutyB] = plant.state[DUTY_A + 1];
    sample[SIGNAL_INDEX.dutyC] = plant.state[DUTY_A + 2];
    this.noteSensed();
    plant.runPeriod();
    plant.observe(sample);
    this.counters.ticks++;
  }

  private command(): void {
    const { drive, counters } = this;
    if (drive.tick !== this.sense.tick) {
      counters.late++; // The timer keeps what it has.
      return;
    }
    this.plant.command(drive.gates, this.duty(drive.dutyA), this.duty(drive.dutyB), this.duty(drive.dutyC));
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
