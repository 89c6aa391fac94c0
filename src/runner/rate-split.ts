/**
 * The bench of the rate-split coupling: wall time, 100 to 1000 beats a second. The board closes its fast loops against a
 * motor of its own; the drill is what lies around that motor.
 *
 * Beat    at its start the slow plant says what lies around the motor and the Scene goes out; at its end the Reports that
 *         came meanwhile move the plant on. An interval without a Report turns nothing: the angle is a running count, so the
 *         next one brings what is missing; the pack is drawn from as before.
 * Angle   counts since power-up of the board. The first Report after the supply came up is its new beginning; what the shaft
 *         turned in that interval follows from its speeds.
 * Loss    without a board nothing is drawn and the shaft is taken as standing.
 */
import type { RateSplitLink } from '../links/rate-split.ts';
import type { DrillParams } from '../plant/params.ts';
import { SlowPlant } from '../plant/slow.ts';
import type { Turn } from '../plant/slow-shaft.ts';
import { ABSENT } from '../plant/slow-signals.ts';
import { blankScene } from '../protocol/codec.ts';
import { type Report, SCENE_IN, SCENE_OUT, SCENE_POWER } from '../protocol/frames.ts';
import type { Hello } from '../protocol/hello.ts';
import { Unwrap } from '../protocol/unwrap.ts';
import { SIGNAL_INDEX, SIGNALS } from '../signals.ts';
import type { Counters } from './core.ts';
import type { Coupled, StrictCount } from './coupled.ts';
import { BeatPacer, type WallClock } from './rate-split-pace.ts';

export interface RateSplitOptions {
  readonly drill: DrillParams;
  /** Start of the scatter, 0 to 2^32 - 1. */ readonly seed: number;
  /** Beats a second, 100 to 1000. */ readonly rate_Hz: number;
  readonly link: RateSplitLink;
  readonly clock: WallClock;
}

const COUNT_RAD = (2 * Math.PI) / 65536;
/** Faster than any shaft of a hand tool: an angle that leaps by more is none [rad/s]. */
const LEAP_RAD_S = 20_000;
const MICRO = 1e6;

export class RateSplitBench implements Coupled {
  readonly coupling = 'rate-split';
  readonly unaudited = 'the motor is outside the drill';
  readonly unbreakable = 'the motor turns elsewhere';
  readonly absent = ABSENT;
  readonly plant: SlowPlant;
  readonly hello: Hello;
  readonly rate_Hz: number;
  readonly sample = new Float64Array(SIGNALS.length);
  readonly counters: Counters = { ticks: 0, asked: 0, boots: 0, lost: 0, late: 0, dutyClamped: 0 };
  private readonly link: RateSplitLink;
  private readonly pacer: BeatPacer;
  private readonly scene = blankScene();
  private readonly angle = new Unwrap(32);
  private readonly turn: Turn = { turned_rad: 0, speed_rad_s: 0, torque_Nm: 0, drawn_A: 0, loss_W: 0 };
  private angle_counts = 0;
  private rebase = true;
  private wasPowered = false;
  private heard = 0;
  private quietTicks = 0;
  private state = 0;
  private trip = 0;
  private lossReason = '';
  private started = false;

  /** Throws RangeError when an option is out of range. */
  constructor(options: RateSplitOptions) {
    const { drill, seed, rate_Hz, link, clock } = options;
    this.plant = new SlowPlant(drill, { rate_Hz, seed });
    this.rate_Hz = rate_Hz;
    this.link = link;
    this.hello = link.hello;
    this.pacer = new BeatPacer(clock, this.plant.period_s);
  }

  get controllerLost(): string {
    return this.lossReason;
  }

  strictCounts(): readonly StrictCount[] {
    const { lost, heldBack, absurd } = this.link.counters;
    return [
      { name: 'no frame is lost', signal: 'lost', count: lost },
      { name: 'no frame is held back', signal: 'heldBack', count: heldBack },
      { name: 'no frame is absurd', signal: 'absurd', count: absurd },
    ];
  }

  /** Runs one beat and fills `sample`. Never rejects. */
  async tickOnce(): Promise<void> {
    const { plant, link, counters } = this;
    if (!this.started) {
      this.started = true;
      link.start(plant.period_s, this.hear);
      this.pacer.start();
    }
    plant.begin();
    link.beat();
    this.noteLoss();
    this.fillScene();
    if (this.lossReason === '' && link.send(this.scene)) counters.asked++;
    counters.lost += await this.pacer.next(this.answered);
    this.noteLoss();
    this.settle();
    plant.end(this.turn);
    this.heard = 0;
    this.turn.turned_rad = 0;
    this.counters.late = link.counters.late;
    counters.ticks++;
    this.observe();
  }

  private noteLoss(): void {
    const loss = this.link.loss();
    if (loss && this.lossReason === '') this.lossReason = loss.message;
  }

  private fillScene(): void {
    const { scene, plant, hello } = this;
    const { around } = plant;
    const direction = plant.hands.get('direction');
    const { triggerLow_counts: low, triggerHigh_counts: high } = hello;
    if (around.powered && !this.wasPowered) {
      this.counters.boots++;
      this.rebase = true;
    }
    this.wasPowered = around.powered;
    scene.levels =
      (around.powered ? SCENE_POWER : 0) | (direction > 0 ? SCENE_IN : 0) | (direction < 0 ? SCENE_OUT : 0);
    scene.gear = plant.gear;
    scene.clock = Math.round(plant.time_s * MICRO) >>> 0;
    scene.trigger = Math.round(low + (high - low) * plant.hands.get('trigger'));
    scene.open = around.open_V;
    scene.source = around.source_ohm;
    scene.hold = around.hold_Nm;
    scene.push = around.push_Nm;
    scene.inertia = around.inertia_kgm2;
    scene.winding = plant.winding_K;
    scene.bridge = plant.bridge_K;
  }

  private readonly answered = (): boolean => this.link.unanswered() === 0;

  /** Sums up what comes within a beat; settle() makes means of it. */
  private readonly hear = (report: Report): void => {
    const { turn, plant } = this;
    const first = this.heard++ === 0;
    if (first) {
      turn.torque_Nm = 0;
      turn.drawn_A = 0;
      turn.loss_W = 0;
    }
    turn.torque_Nm += report.torque;
    turn.drawn_A += report.drawn;
    turn.loss_W += report.loss;
    this.state = report.state;
    this.trip = report.trip;
    const since_s = (this.quietTicks + 1) * plant.period_s;
    const ahead_rad = this.angle.ahead(report.angle) * COUNT_RAD;
    const leaps = Math.abs(ahead_rad) > LEAP_RAD_S * since_s;
    if (leaps && !this.rebase) this.link.refuseReport();
    if (leaps || this.rebase) {
      this.angle.reset();
      this.rebase = false;
      turn.turned_rad += 0.5 * plant.period_s * (turn.speed_rad_s + report.speed);
      this.angle_counts = this.angle.take(report.angle);
    } else {
      const counts = this.angle.take(report.angle);
      turn.turned_rad += (counts - this.angle_counts) * COUNT_RAD;
      this.angle_counts = counts;
    }
    turn.speed_rad_s = report.speed;
  };

  private settle(): void {
    const { turn, heard } = this;
    if (heard > 0) {
      this.quietTicks = 0;
      turn.torque_Nm /= heard;
      turn.drawn_A /= heard;
      turn.loss_W /= heard;
    } else this.quietTicks++;
    if (this.lossReason === '') return;
    turn.turned_rad = 0;
    turn.speed_rad_s = 0;
    turn.torque_Nm = 0;
    turn.drawn_A = 0;
    turn.loss_W = 0;
  }

  private observe(): void {
    const { sample, plant, scene, hello } = this;
    plant.observe(sample);
    const { triggerLow_counts: low, triggerHigh_counts: high } = hello;
    const on = this.wasPowered;
    sample[SIGNAL_INDEX.sensedTrigger] = on ? (scene.trigger - low) / (high - low) : 0;
    sample[SIGNAL_INDEX.controllerState] = on ? this.state : 0;
    sample[SIGNAL_INDEX.tripReason] = on ? this.trip : 0;
    sample[SIGNAL_INDEX.trigger] = plant.hands.get('trigger');
  }
}
