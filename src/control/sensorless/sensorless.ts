/**
 * Sensorless sinusoidal control from two or three low-side shunts, link voltage and trigger.
 *
 * Each press boots it from nothing: offsets with the gates off; does the rotor turn already; if not, angle with north and south by
 * pulses; then injection, flux at speed, and back. A loss of lock opens the legs and starts anew; three within two seconds trip.
 * Order   counts, currents, estimator, protections, speed, torque to current, current loop, limit, voltage on by 1.5 periods,
 *         injection, dead time, duties.
 * Source  as in its parts.
 */
import type { Controller } from '../../protocol/controller.ts';
import {
  type Drive,
  GATE_ALL,
  PROTOCOL_VERSION,
  SENSE_BOOT,
  SENSE_IN,
  SENSE_OUT,
  type Sense,
  STATE_BRAKING,
  STATE_READY,
  STATE_RUNNING,
  STATE_STALLED,
  STATE_STARTING,
  STATE_TRIPPED,
  STATE_WAITING,
  TRIP_CURRENT,
  TRIP_LINK_HIGH,
  TRIP_LOCK,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { cosine, sine } from '../../units/elementary.ts';
import { CALIBRATED, CurrentSense, OFFSET_BAD } from '../current-sense.ts';
import type { MotorFacts } from '../motor-facts.ts';
import { BOARD, type Build, TICK_S } from '../settings.ts';
import { triggerShare, triggerTravel } from '../trigger.ts';
import { CurrentLoop } from './current-loop.ts';
import { Estimator } from './estimator.ts';
import { LockWatch } from './lock-watch.ts';
import { Modulator } from './modulator.ts';
import { MotorMap } from './motor-map.ts';
import { PhaseCurrents } from './phase-currents.ts';
import { type SensorlessSettings, settingsFor } from './settings.ts';
import { SpeedLoop } from './speed-loop.ts';
import { CHECKING, SpinCheck, TURNS } from './spin-check.ts';
import { FOUND, NOT_FOUND, StartPulses } from './start-pulses.ts';
import { TorquePlan } from './torque-plan.ts';

export const SENSORLESS_FIRMWARE = 'sensorless-1';

/** What it does within a start. */
const OFFSETS = 0;
const SPINNING = 1;
const PULSES = 2;
const SETTLING = 3;
const DRIVING = 4;
const OPEN = 5;

/** Settling of the tracker before torque [ticks]: 5 ms. */
const SETTLE_TICKS = 100;
/** Legs open after a loss of lock, so that the current dies [ticks]. */
const OPEN_TICKS = 20;
const LOSSES_MOST = 3;
const LOSSES_TICKS = 2 / TICK_S;
/** Below this share of the top speed the rotor counts as standing. */
const STANDS_SHARE = 0.02;
/** Time constant of the speed that is asked whether the rotor stands: injection makes the tracked one noisy [s]. */
const SLOW_S = 0.02;
/** Time of standing at the current limit that is a stall, and current held then, as a share. */
const STALL_TICKS = 0.5 / TICK_S;
const STALL_SHARE = 0.8;
const HOLD_SHARE = 0.5;
/** Standing for this long after a release ends the drive [ticks]: 0.1 s. */
const REST_TICKS = 0.1 / TICK_S;
/** Half the ripple of the phase current [A]: within it dead time has no sign. */
const KNEE_A = 1.5;
/** Speeds, as shares of the top, between which dead-time compensation fades. */
const FADE_FROM = 0.4;
const FADE_TO = 0.6;
const HIGH_V_CELL = 5;
const LOW_V_CELL = 2;
const DRY_V_CELL = 1.8;
const MARK_V_CELL = 4.5;
const PER_ROOT_3 = 0.5773502691896258;

export class Sensorless implements Controller {
  readonly hello: Hello;
  readonly estimator: Estimator;
  readonly plan: TorquePlan;
  readonly facts: MotorFacts;
  private readonly set: SensorlessSettings;
  private readonly cells: number;
  private readonly sensed = new CurrentSense();
  private readonly spin: SpinCheck;
  private readonly pulses = new StartPulses();
  private readonly loop: CurrentLoop;
  private readonly speed: SpeedLoop;
  private readonly watch: LockWatch;
  private readonly modulator = new Modulator();
  private readonly current = new PhaseCurrents();
  /** Duties of the running and of the last period. */ private readonly running = new Float64Array(3);
  private readonly ended = new Float64Array(3);
  private phase = OFFSETS;
  private state = STATE_STARTING;
  private trip = TRIP_NONE;
  private ticks = 0;
  private asked = 0;
  private slow_rad_s = 0;
  private stalled = 0;
  private rested = 0;
  private losses = 0;
  private sinceLoss = 0;
  private asked_V = 0;
  private inject_V = 0;

  constructor(facts: MotorFacts, build: Build, settings?: Partial<SensorlessSettings>) {
    this.facts = facts;
    this.cells = build.cells;
    this.set = Object.freeze({ ...settingsFor(facts, 3.6 * build.cells), ...settings });
    const torque = 1.5 * facts.polePairs * facts.lambda_Wb * facts.most_A;
    const most = (1.5 * facts.polePairs * torque) / facts.inertia_kgm2;
    this.estimator = new Estimator(TICK_S, new MotorMap(facts), this.set, most);
    this.spin = new SpinCheck(TICK_S, facts);
    this.loop = new CurrentLoop(TICK_S, facts);
    this.speed = new SpeedLoop(TICK_S, facts, this.set);
    this.watch = new LockWatch(TICK_S, facts.lambda_Wb, this.set.top_rad_s);
    this.plan = new TorquePlan(TICK_S, facts, this.set);
    this.hello = helloOf(build);
    this.boot();
  }

  tick(sense: Sense, drive: Drive): void {
    if ((sense.flags & SENSE_BOOT) !== 0) this.boot();
    const link_V = Math.max(1, sense.link * this.hello.linkPerCount_V);
    const share = triggerShare(triggerTravel(sense.trigger), this.asked);
    this.asked = share > 0 ? 1 : 0;
    const way = (sense.flags & SENSE_IN) !== 0 ? 1 : (sense.flags & SENSE_OUT) !== 0 ? -1 : 0;
    const target = way * share * this.set.top_rad_s;
    drive.gates = 0;
    this.modulator.zero();
    this.sinceLoss++;
    if (this.phase !== OFFSETS) {
      this.sensed.measure(sense);
      this.current.take(sense, this.sensed.phase_A, this.running, this.ended);
    }
    this.ended.set(this.running);
    this.protect(link_V);
    if (this.state === STATE_TRIPPED) this.phase = OPEN;
    else if (this.phase === OFFSETS) this.calibrate(sense);
    else if (this.phase === SPINNING) this.checkSpin(drive, target);
    else if (this.phase === PULSES) this.pulse(drive, link_V);
    else if (this.phase === OPEN) this.wait(target, link_V);
    else this.control(drive, target, link_V);
    this.modulator.put(drive);
    this.running.set(this.modulator.duty);
    this.report(sense, drive);
  }

  private boot(): void {
    this.sensed.reset();
    this.phase = OFFSETS;
    this.state = STATE_STARTING;
    this.trip = TRIP_NONE;
    this.asked = 0;
    this.losses = 0;
    this.sinceLoss = 0;
    this.plan.limit_A = this.facts.most_A;
  }

  private calibrate(sense: Sense): void {
    const result = this.sensed.calibrate(sense);
    if (result === CALIBRATED) this.open();
    else if (result === OFFSET_BAD) this.stop(TRIP_SENSOR);
  }

  /** Legs open; after some ticks a press starts anew. */
  private open(): void {
    this.phase = OPEN;
    this.state = STATE_READY;
    this.ticks = 0;
  }

  private wait(target: number, link_V: number): void {
    this.ticks++;
    if (this.state === STATE_WAITING && link_V > 1.1 * LOW_V_CELL * this.cells) this.state = STATE_READY;
    if (this.ticks < OPEN_TICKS || target === 0 || this.state !== STATE_READY) return;
    this.spin.reset();
    this.phase = SPINNING;
    this.state = STATE_STARTING;
  }

  private checkSpin(drive: Drive, target: number): void {
    const result = this.spin.step(this.current.alpha, this.current.beta);
    if (result === CHECKING) {
      drive.gates = this.spin.on ? GATE_ALL : 0;
      return;
    }
    if (result === TURNS) {
      this.begin(this.spin.theta, this.spin.w);
      return;
    }
    if (target === 0) this.open();
    else {
      this.pulses.reset();
      this.phase = PULSES;
    }
  }

  private pulse(drive: Drive, link_V: number): void {
    // Half the current limit at the tip: flux of two periods over the inductance.
    const volt = Math.min(0.3 * link_V, (0.5 * this.facts.most_A * this.facts.ld_H) / (2 * TICK_S));
    const result = this.pulses.step(this.current.alpha, this.current.beta, volt);
    if (result === NOT_FOUND) this.stop(TRIP_LOCK);
    else if (result === FOUND) this.begin(this.pulses.theta, 0);
    else {
      this.modulator.make(this.pulses.alpha_V, this.pulses.beta_V, link_V, 0, 0, 0, 1);
      drive.gates = GATE_ALL;
    }
  }

  private begin(theta: number, w: number): void {
    this.estimator.preset(theta, w);
    this.loop.preset(0, w * this.facts.lambda_Wb);
    this.speed.reset(w);
    this.watch.reset();
    this.plan.reset();
    this.phase = SETTLING;
    this.ticks = 0;
    this.slow_rad_s = w;
    this.stalled = 0;
    this.rested = 0;
    this.inject_V = 0;
    this.asked_V = 0;
  }

  private control(drive: Drive, target: number, link_V: number): void {
    const { estimator: e, set, plan, loop, facts } = this;
    if (target === 0 && link_V < DRY_V_CELL * this.cells) {
      // Released, and the link has run down: there is no voltage left to see or brake with.
      this.open();
      return;
    }
    e.step(this.current.alpha, this.current.beta, link_V);
    const { w, accel } = e.tracker;
    const injecting = e.injecting;
    this.inject_V = injecting ? Math.min(set.inject_V, this.inject_V + (set.inject_V * TICK_S) / 1e-3) : 0;
    const most_V = set.voltageShare * link_V * PER_ROOT_3 - this.inject_V;
    if (this.phase === SETTLING) {
      if (++this.ticks >= SETTLE_TICKS) {
        this.phase = DRIVING;
        this.speed.reset(w);
      }
      plan.id = 0;
      plan.iq = 0;
    } else {
      this.judgeStall(w);
      const made = plan.torque_Nm(e.map, e.idMean, e.iqMean);
      this.speed.step(target, w, accel, made, plan.most_Nm);
      const mark = MARK_V_CELL * this.cells;
      plan.step(this.speed.torque_Nm, w, e.map, injecting, this.asked_V, most_V, link_V, mark);
      this.state = this.stalled >= STALL_TICKS ? STATE_STALLED : target === 0 ? STATE_BRAKING : STATE_RUNNING;
      if (this.rest(target, w)) return;
    }
    const offD = plan.id - e.idMean;
    const offQ = plan.iq - e.iqMean;
    if (this.watch.lost(w, e.flux.along, e.injection.match, e.weight === 1, Math.sqrt(offD * offD + offQ * offQ))) {
      this.lose();
      return;
    }
    loop.step(offD, offQ, w, e.weight > 0 ? set.gainInjecting : set.gain);
    this.asked_V = loop.limit(most_V);
    const ahead = e.tracker.theta + 1.5 * TICK_S * w;
    const c = cosine(ahead);
    const s = sine(ahead);
    const add = this.inject_V * e.injection.sign;
    const ud = loop.ud + add;
    const alpha = c * ud - s * loop.uq;
    const beta = s * ud + c * loop.uq;
    e.injection.sent(ahead, add);
    e.sent(alpha / link_V, beta / link_V);
    const fast = (w < 0 ? -w : w) / set.top_rad_s;
    const fade = Math.max(0, Math.min(1, (FADE_TO - fast) / (FADE_TO - FADE_FROM)));
    const iA = c * e.idMean - s * e.iqMean;
    const iB = s * e.idMean + c * e.iqMean;
    // Within the ripple that injection makes, dead time takes from one edge what it gives at the other.
    const knee = Math.max(KNEE_A, (0.5 * this.inject_V * TICK_S) / facts.ld_H);
    this.modulator.make(alpha, beta, link_V, fade * facts.deadShare * link_V, iA, iB, knee);
    drive.gates = GATE_ALL;
  }

  private judgeStall(w: number): void {
    const { plan, facts, set } = this;
    this.slow_rad_s += (TICK_S / SLOW_S) * (w - this.slow_rad_s);
    const slow = this.slow_rad_s;
    const stands = (slow < 0 ? -slow : slow) < STANDS_SHARE * set.top_rad_s;
    const strains = Math.abs(plan.iq) > STALL_SHARE * plan.limit_A;
    if (!stands) this.stalled = 0;
    else if (strains) this.stalled++;
    plan.limit_A = facts.most_A * (this.stalled >= STALL_TICKS ? HOLD_SHARE : 1);
  }

  /** Ends the drive when the rotor has come to rest after a release. */
  private rest(target: number, w: number): boolean {
    const stands =
      Math.abs(this.slow_rad_s) < STANDS_SHARE * this.set.top_rad_s && Math.abs(w) < 0.1 * this.set.top_rad_s;
    this.rested = target === 0 && stands ? this.rested + 1 : 0;
    if (this.rested < REST_TICKS) return false;
    this.open();
    return true;
  }

  private lose(): void {
    this.losses = this.sinceLoss < LOSSES_TICKS ? this.losses + 1 : 1;
    this.sinceLoss = 0;
    if (this.losses >= LOSSES_MOST) this.stop(TRIP_LOCK);
    else this.open();
  }

  private protect(link_V: number): void {
    if (this.state === STATE_TRIPPED || this.phase === OFFSETS) return;
    if (this.sensed.largest_A > 1.5 * this.facts.most_A) this.stop(TRIP_CURRENT);
    else if (link_V > HIGH_V_CELL * this.cells) this.stop(TRIP_LINK_HIGH);
    else if (link_V < LOW_V_CELL * this.cells && this.asked === 1) {
      this.phase = OPEN;
      this.state = STATE_WAITING;
    }
  }

  private stop(reason: number): void {
    this.trip = reason;
    this.state = STATE_TRIPPED;
    this.phase = OPEN;
  }

  private report(sense: Sense, drive: Drive): void {
    const { estimator: e, plan } = this;
    drive.tick = sense.tick;
    drive.state = this.state;
    drive.trip = this.trip;
    drive.busy = 0;
    const w = drive.watch;
    w[0] = e.tracker.theta;
    w[1] = e.tracker.w / this.facts.polePairs;
    w[2] = e.idMean;
    w[3] = e.iqMean;
    w[4] = plan.limit_A;
    w[5] = e.weight;
  }
}

function helloOf(build: Build): Hello {
  return Object.freeze({
    version: PROTOCOL_VERSION,
    board: 'built-in board, three shunts, no rotor sensor',
    firmware: SENSORLESS_FIRMWARE,
    pwm_Hz: BOARD.pwm_Hz,
    shunts: 'abc',
    currentPerCount_A: BOARD.currentPerCount_A,
    currentZero_counts: BOARD.currentZero_counts,
    linkPerCount_V: build.linkPerCount_V,
    triggerLow_counts: BOARD.triggerLow_counts,
    triggerHigh_counts: BOARD.triggerHigh_counts,
    halls: false,
    virtualTick: true,
    watch: Object.freeze([
      Object.freeze({ name: 'angle', unit: 'rad', signal: 'rotorAngle' }),
      Object.freeze({ name: 'motor speed', unit: 'rad/s', signal: 'motorSpeed' }),
      Object.freeze({ name: 'current d', unit: 'A', signal: 'currentD' }),
      Object.freeze({ name: 'current q', unit: 'A', signal: 'currentQ' }),
      Object.freeze({ name: 'current limit', unit: 'A' }),
      Object.freeze({ name: 'weight of injection', unit: '' }),
    ]) as unknown as Hello['watch'],
  });
}
