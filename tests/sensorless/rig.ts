/**
 * A controller on the plant, joined by frames as a board would be, and what is measured from outside while it runs.
 *
 * Angle   an estimate answers a sample and is held against the rotor at the instant of that sample: before the period runs.
 * Truth   speeds, torques and currents are those of the plant at the ends of the periods; the controller never sees them.
 */
import type { MotorFacts } from '../../src/control/motor-facts.ts';
import { Sensorless } from '../../src/control/sensorless/sensorless.ts';
import type { SensorlessSettings } from '../../src/control/sensorless/settings.ts';
import { LOADS, type LoadName } from '../../src/plant/load/index.ts';
import { Plant } from '../../src/plant/plant.ts';
import { slot } from '../../src/plant/slots.ts';
import { blankDrive, blankSense } from '../../src/protocol/codec.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { DUTY_FULL, type Sense, TRIP_NONE } from '../../src/protocol/frames.ts';
import { buildFor } from '../../src/runner/build.ts';
import { type BoardParams, boardFor } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { drillWith, merge, type Overrides } from '../support/rigs.ts';
import { factsOf } from './facts.ts';

/** What differs from the bench drill, its board and its firmware. */
export interface Conditions {
  readonly change?: Overrides;
  readonly board?: Partial<BoardParams>;
  readonly settings?: Partial<SensorlessSettings>;
  readonly facts?: Partial<MotorFacts>;
}

export interface RigOptions extends Conditions {
  readonly seed?: number;
  /** Electrical rotor angle at the start [rad]. */ readonly angle_rad?: number;
  /** Put on the board instead of the sensorless controller. */ readonly controller?: Controller;
}

/** Conditions on top of others: what the later ones say counts. */
export function both(a: Conditions, b: Conditions): Conditions {
  return {
    change: merge(a.change ?? {}, b.change ?? {}),
    board: { ...a.board, ...b.board },
    settings: { ...a.settings, ...b.settings },
    facts: { ...a.facts, ...b.facts },
  };
}

/** Means and extremes of a stretch of time. */
export interface Span {
  /** Rotor speed, mean and at the end [rad/s]. */ readonly speed_rad_s: number;
  readonly endSpeed_rad_s: number;
  readonly chuckSpeed_rad_s: number;
  readonly slowestChuck_rad_s: number;
  /** Torque of the gearbox on the chuck: mean and least [N·m]. */ readonly torque_Nm: number;
  readonly leastTorque_Nm: number;
  /** Error of the angle while it is tracked, electrical [deg]. */ readonly errorRms_deg: number;
  readonly errorWorst_deg: number;
  /** Largest current vector and link voltage; mean current of the torque axis, truth. */ readonly peak_A: number;
  readonly link_V: number;
  readonly iq_A: number;
  /** Times that the legs opened though the trigger was pressed. */ readonly losses: number;
  /** Trips that began. */ readonly trips: number;
}

const at = {
  speed: slot('rotorSpeed'),
  chuck: slot('chuckSpeed'),
  angle: slot('rotorAngle'),
  torque: slot('gearTorque'),
  alpha: slot('iAlpha'),
  beta: slot('iBeta'),
  cos: slot('cos'),
  sin: slot('sin'),
  link: slot('link'),
} as const;

const DEG = 180 / Math.PI;
/** Time of a quick finger for the whole travel of the trigger; common practice, no source [s]. */
const FINGER_S = 0.02;
/** Longest step of the plant [s]. */
export const STEP_S = 1e-6;

export class Rig {
  readonly plant: Plant;
  readonly controller: Controller;
  /** The sensorless controller, when it is that. */ readonly sensorless: Sensorless | null;
  readonly sense = blankSense();
  readonly drive;
  /** Error of the estimated angle in this tick, electrical [deg]; NaN while nothing is tracked. */ error_deg =
    Number.NaN;
  /** Electrical rotor angle at the sampling instant of this tick, not wrapped [rad]. */ truth_rad = 0;
  /** What happens to the counts on their way to the controller. */ alter?: (sense: Sense) => void;
  private readonly sensors: Sensors;
  private readonly polePairs: number;
  private powered = false;
  private driven = false;
  private wanted = 0;
  private tripped = TRIP_NONE;

  constructor(options: RigOptions = {}) {
    const drill = drillWith(options.change ?? {});
    const { seed = 1, angle_rad } = options;
    const angle = angle_rad === undefined ? {} : { rotorAngle_rad: angle_rad };
    this.plant = new Plant(drill, { seed, h_s: STEP_S, ...angle });
    const board = boardFor(drill, options.board);
    this.sensors = new Sensors(board);
    const facts = { ...factsOf(), ...options.facts };
    const own = () => new Sensorless(facts, buildFor(drill, board), options.settings);
    this.sensorless = options.controller === undefined ? own() : null;
    this.controller = options.controller ?? (this.sensorless as Controller);
    this.drive = blankDrive(this.controller.hello.watch.length);
    this.polePairs = drill.winding.polePairs;
  }

  /** Moves the finger to a travel of the trigger, 0 to 1; it takes its time from the next tick on. */
  pull(travel: number): void {
    this.wanted = travel;
  }

  tick(): void {
    const { plant, sense, drive } = this;
    const travel = plant.hands.get('trigger');
    const way = plant.period_s / FINGER_S;
    if (travel !== this.wanted) {
      plant.hands.set('trigger', travel + Math.max(-way, Math.min(way, this.wanted - travel)));
    }
    this.truth_rad = plant.state[at.angle] * this.polePairs;
    this.error_deg = Number.NaN;
    if (plant.powered) {
      this.sensors.sample(plant, sense, !this.powered);
      this.alter?.(sense);
      this.controller.tick(sense, drive);
      plant.command(drive.gates, drive.dutyA / DUTY_FULL, drive.dutyB / DUTY_FULL, drive.dutyC / DUTY_FULL);
      // While pulses look for the angle the legs are driven and nothing is tracked: there the weight is still 0.
      if (this.sensorless && drive.gates !== 0 && this.tracks) {
        const off = (this.sensorless.estimator.tracker.theta - this.truth_rad) / (2 * Math.PI);
        this.error_deg = 360 * (off - Math.round(off));
      }
    } else {
      plant.command(0, 0, 0, 0);
      drive.gates = 0;
    }
    this.powered = plant.powered;
    plant.runPeriod();
  }

  /** The controller reports that it drives or brakes: from the end of its start on. */
  get tracks(): boolean {
    return this.drive.state === 2 || this.drive.state === 4 || this.drive.state === 7;
  }

  /** Largest current vector now [A], truth. */
  get current_A(): number {
    const x = this.plant.state;
    return Math.sqrt(x[at.alpha] * x[at.alpha] + x[at.beta] * x[at.beta]);
  }

  /** Current along the torque axis now [A], truth. */
  get iq_A(): number {
    const x = this.plant.state;
    return x[at.cos] * x[at.beta] - x[at.sin] * x[at.alpha];
  }

  meets(load: LoadName): void {
    this.plant.hands.set('meets', LOADS.indexOf(load));
  }

  /** Runs for a while; `each` is called after every tick and ends the stretch by returning true. */
  run(span_s: number, each?: () => boolean | undefined): Span {
    const { plant } = this;
    const x = plant.state;
    const ticks = Math.round(span_s / plant.period_s);
    const sum = { speed: 0, chuck: 0, torque: 0, squares: 0, iq: 0, tracked: 0 };
    let [n, losses, trips, worst, peak, link] = [0, 0, 0, 0, 0, 0];
    let [slowest, least] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (; n < ticks; ) {
      this.tick();
      n++;
      sum.speed += x[at.speed];
      sum.chuck += x[at.chuck];
      sum.torque += x[at.torque];
      sum.iq += this.iq_A;
      slowest = Math.min(slowest, x[at.chuck]);
      least = Math.min(least, x[at.torque]);
      peak = Math.max(peak, this.current_A);
      link = Math.max(link, x[at.link]);
      if (!Number.isNaN(this.error_deg)) {
        sum.squares += this.error_deg * this.error_deg;
        sum.tracked++;
        worst = Math.max(worst, Math.abs(this.error_deg));
      }
      const driven = this.drive.gates !== 0 && this.tracks;
      if (this.driven && !driven && plant.hands.get('trigger') > 0) losses++;
      this.driven = driven;
      if (this.drive.trip !== this.tripped && this.drive.trip !== TRIP_NONE) trips++;
      this.tripped = this.drive.trip;
      if (each?.() === true) break;
    }
    return {
      speed_rad_s: sum.speed / n,
      endSpeed_rad_s: x[at.speed],
      chuckSpeed_rad_s: sum.chuck / n,
      slowestChuck_rad_s: slowest,
      torque_Nm: sum.torque / n,
      leastTorque_Nm: least,
      errorRms_deg: Math.sqrt(sum.squares / sum.tracked),
      errorWorst_deg: worst,
      peak_A: peak,
      link_V: link,
      iq_A: sum.iq / n,
      losses,
      trips,
    };
  }
}

/** Trigger travel that asks for a share of the top speed, 0 to 1: the law of the trigger read backwards. */
export function travelFor(share: number): number {
  return share <= 0 ? 0 : share >= 1 ? 1 : 0.045 + 0.955 * share;
}

/** Speed of the rotor at full trigger without load [rad/s]: measured, whatever controller and conditions. */
export function fullSpeed_rad_s(options: RigOptions): number {
  const rig = new Rig({ ...options, seed: 9, angle_rad: 1 });
  rig.pull(1);
  rig.run(0.4);
  return Math.abs(rig.run(0.02).speed_rad_s);
}

/** Degrees of an angle. */
export function degrees(angle_rad: number): number {
  return angle_rad * DEG;
}
