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
  TRIP_LOCK,
  TRIP_NONE,
  TRIP_SENSOR,
} from '../../protocol/frames.ts';
import type { Hello } from '../../protocol/hello.ts';
import { cosine, sine } from '../../units/elementary.ts';
import { CALIBRATED, CurrentSense, OFFSET_BAD } from '../current-sense.ts';
import { Stall } from '../guard/stall.ts';
import type { MotorFacts } from '../motor-facts.ts';
import { Protection } from '../protection.ts';
import { type Build, TICK_S } from '../settings.ts';
import { STATE_LOCKED } from '../tables.ts';
import { triggerShare } from '../trigger.ts';
import { CurrentLoop } from './current-loop.ts';
import { Estimator } from './estimator.ts';
import { helloOf } from './hello.ts';
import { LockWatch } from './lock-watch.ts';
import { Modulator } from './modulator.ts';
import { MotorMap } from './motor-map.ts';
import { PhaseCurrents } from './phase-currents.ts';
import { type SensorlessSettings, settingsFor } from './settings.ts';
import { SpeedLoop } from './speed-loop.ts';
import { CHECKING, SpinCheck, TURNS } from './spin-check.ts';
import { FOUND, NOT_FOUND, StartPulses } from './start-pulses.ts';
import { TorquePlan } from './torque-plan.ts';

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
/** Time of standing at the current limit that is a stall [s], and current held then, as a share. */
const STALL_S = 0.5;
const HOLD_SHARE = 0.5;
/** Current that opens the legs, over the limit. */
const OVER_SHARE = 1.5;
/** Duty below which every shunt has its window. */
const SEEN_BELOW = 0.9;
/** Standing for this long after a release ends the drive [ticks]: 0.1 s. */
const REST_TICKS = 0.1 / TICK_S;
/** Half the ripple of the phase current [A]: within it dead time has no sign. */
const KNEE_A = 1.5;
/** Speeds, as shares of the top, between which dead-time compensation fades. */
const FADE_FROM = 0.4;
const FADE_TO = 0.6;
const DRY_V_CELL = 1.8;
const MARK_V_CELL = 4.5;
/** Speed at full trigger, as a share of the one at which the EMF takes the linear voltage. */
const TOP_SHARE = 0.97;
/** Time constant of the link voltage that this is taken from [s]. */
const SUPPLY_S = 0.1;
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
  private readonly protection: Protection;
  private readonly stall: Stall;
  private readonly watch: LockWatch;
  private readonly modulator = new Modulator();
  private readonly current = new PhaseCurrents();
  /** Duties of the running and of the last period. */ private readonly running = new Float64Array(3);
  private readonly ended = new Float64Array(3);
  private phase = OFFSETS;
  private state = STATE_STARTING;
  private ticks = 0;
  private asked = 0;
  private slow_rad_s = 0;
  private supply_V = 0;
  /** Ticks for which the legs have been driven, up to 2. */ private seen = 0;
  private rested = 0;
  private losses = 0;
  private sinceLoss = 0;
  private asked_V = 0;
  private inject_V = 0;

  constructor(facts: MotorFacts, build: Build, settings?: Partial<SensorlessSettings>) {
    this.facts = facts;
    this.hello = helloOf(build);
    this.cells = build.cells;
    this.set = Object.freeze({ ...settingsFor(facts, 3.6 * build.cells), ...settings });
    const torque = 1.5 * facts.polePairs * facts.lambda_Wb * facts.most_A;
    const most = (1.5 * facts.polePairs * torque) / facts.inertia_kgm2;
    this.estimator = new Estimator(TICK_S, new MotorMap(facts), this.set, most);
    this.spin = new SpinCheck(TICK_S, facts);
    this.loop = new CurrentLoop(TICK_S, facts);
    this.speed = new SpeedLoop(TICK_S, facts, this.set);
    this.protection = new Protection(build, this.hello.shunts, OVER_SHARE * facts.most_A);
    this.stall = new Stall(this.set.top_rad_s, STALL_S);
    this.watch = new LockWatch(TICK_S, facts.lambda_Wb, this.set.top_rad_s);
    this.plan = new TorquePlan(TICK_S, facts, this.set);
    this.boot();
  }

  tick(sense: Sense, drive: Drive): void {
    if ((sense.flags & SENSE_BOOT) !== 0) this.boot();
    const { protection } = this;
    protection.see(sense);
    const link_V = Math.max(1, protection.link.volts_V);
    const share = triggerShare(protection.travel, this.asked);
    this.asked = share > 0 ? 1 : 0;
    const way = (sense.flags & SENSE_IN) !== 0 ? 1 : (sense.flags & SENSE_OUT) !== 0 ? -1 : 0;
    // Full trigger is all the voltage that the pack has; its mean over some tenths of a second.
    this.supply_V += (TICK_S / SUPPLY_S) * (link_V - this.supply_V);
    const target = way * share * ((TOP_SHARE * PER_ROOT_3 * this.supply_V) / this.facts.lambda_Wb);
    drive.gates = 0;
    this.modulator.zero();
    this.sinceLoss++;
    this.measure(sense);
    const hindered = protection.waiting !== TRIP_NONE || protection.clock.missed === 1;
    if (protection.tripped !== TRIP_NONE) this.hold(STATE_TRIPPED);
    else if (this.phase === OFFSETS) this.calibrate(sense);
    else if (hindered) this.hold(STATE_WAITING);
    else if (this.phase === SPINNING) this.checkSpin(drive, target);
    else if (this.phase === PULSES) this.pulse(drive, link_V);
    else if (this.phase === OPEN) this.wait(target);
    else this.control(drive, target, link_V);
    this.modulator.put(drive);
    this.running.set(this.modulator.duty);
    this.seen = drive.gates === GATE_ALL ? Math.min(2, this.seen + 1) : 0;
    this.report(sense, drive);
  }

  private boot(): void {
    this.sensed.reset();
    this.protection.reset();
    this.stall.reset();
    this.phase = OFFSETS;
    this.state = STATE_STARTING;
    this.asked = 0;
    this.seen = 0;
    this.losses = 0;
    this.sinceLoss = 0;
    this.plan.limit_A = this.facts.most_A;
    this.supply_V = 3.6 * this.cells;
  }

  private measure(sense: Sense): void {
    const { protection, sensed } = this;
    if (this.phase !== OFFSETS && protection.usable === 1) {
      sensed.measure(sense);
      this.current.take(sense, sensed.phase_A, this.running, this.ended);
    }
    // All shunts show their currents once the legs have been driven for two periods, each with a window.
    const most = Math.max(
      this.running[0],
      this.running[1],
      this.running[2],
      this.ended[0],
      this.ended[1],
      this.ended[2],
    );
    if (this.phase !== OFFSETS) protection.judge(sensed, this.seen === 2 && most < SEEN_BELOW ? 1 : 0, this.asked);
    this.ended.set(this.running);
  }

  /** Legs open, for as long as something hinders or for good. */
  private hold(state: number): void {
    this.state = state;
    if (this.phase !== OFFSETS) this.phase = OPEN;
    this.ticks = 0;
  }

  private calibrate(sense: Sense): void {
    if (this.protection.usable === 0) return;
    const result = this.sensed.calibrate(sense);
    if (result === CALIBRATED) this.open();
    else if (result === OFFSET_BAD) this.protection.trip(TRIP_SENSOR);
  }

  /** Legs open; after some ticks a press starts anew. */
  private open(): void {
    this.phase = OPEN;
    this.state = STATE_READY;
    this.ticks = 0;
  }

  private wait(target: number): void {
    this.ticks++;
    this.state = this.protection.lock.locked === 1 ? STATE_LOCKED : STATE_READY;
    if (this.ticks < OPEN_TICKS || target === 0) return;
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
    if (result === NOT_FOUND) this.protection.trip(TRIP_LOCK);
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
    this.stall.reset();
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
      this.limitCurrent(w, target);
      const made = plan.torque_Nm(e.mean, e.idMean, e.iqMean);
      this.speed.step(target, w, accel, made, plan.most_Nm);
      const mark = MARK_V_CELL * this.cells;
      plan.step(this.speed.torque_Nm, w, e.mean, injecting, this.asked_V, most_V, link_V, mark);
      this.state = target === 0 ? STATE_BRAKING : this.stall.holding === 1 ? STATE_STALLED : STATE_RUNNING;
      if (this.rest(target, w)) return;
    }
    const offD = plan.id - e.idMean;
    const offQ = plan.iq - e.iqMean;
    // The flux is asked only while it leads: at a stall an error of the resistance alone turns it away.
    const along = e.weight > 0 ? 0 : e.flux.along;
    if (this.watch.lost(w, along, e.injection.match, e.weight === 1, Math.sqrt(offD * offD + offQ * offQ))) {
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
    this.modulator.make(alpha, beta, link_V, fade * facts.deadShare * link_V, iA, iB, knee, facts.link_ohm ?? 0);
    drive.gates = GATE_ALL;
  }

  private limitCurrent(w: number, target: number): void {
    const { plan, facts, stall, protection } = this;
    this.slow_rad_s += (TICK_S / SLOW_S) * (w - this.slow_rad_s);
    const way = target < 0 ? -1 : 1;
    stall.update(way * this.slow_rad_s, way * plan.iq, plan.limit_A, protection.clock.elapsed_s);
    plan.limit_A = facts.most_A * protection.share * (stall.holding === 1 ? HOLD_SHARE : 1);
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
    if (this.losses >= LOSSES_MOST) this.protection.trip(TRIP_LOCK);
    this.open();
  }

  private report(sense: Sense, drive: Drive): void {
    const { estimator: e, plan, protection } = this;
    drive.tick = sense.tick;
    drive.state = this.state;
    drive.trip = protection.tripped !== TRIP_NONE ? protection.tripped : protection.waiting;
    drive.busy = 0;
    const w = drive.watch;
    w[0] = e.tracker.theta;
    w[1] = e.tracker.w / this.facts.polePairs;
    w[2] = e.idMean;
    w[3] = e.iqMean;
    w[4] = plan.limit_A;
    w[5] = e.weight;
    w[6] = protection.bridge.heat_K;
    w[7] = protection.motor.heat_K;
  }
}
