/**
 * Parts of the sensorless controller on their own, to take one thing away at a time.
 *
 * PulseProbe   offsets, then the start pulses once, as the controller plays them; says what they found even where they refuse.
 * KnownAngle   its current loop and modulator with the true angle instead of an estimate, turned by an error and sent ahead by a
 *              number of periods as the test asks. The truth is handed in by the test at the sampling instant.
 */
import { CALIBRATED, CurrentSense } from '../../src/control/current-sense.ts';
import type { MotorFacts } from '../../src/control/motor-facts.ts';
import { CurrentLoop } from '../../src/control/sensorless/current-loop.ts';
import { Modulator } from '../../src/control/sensorless/modulator.ts';
import { PhaseCurrents } from '../../src/control/sensorless/phase-currents.ts';
import { Sensorless } from '../../src/control/sensorless/sensorless.ts';
import { NOT_FOUND, PULSING, StartPulses } from '../../src/control/sensorless/start-pulses.ts';
import { type Build, TICK_S } from '../../src/control/settings.ts';
import type { Controller } from '../../src/protocol/controller.ts';
import { type Drive, GATE_ALL, type Sense } from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';

/** Counts to currents, voltage to duties: what both need. */
abstract class Bare implements Controller {
  readonly hello: Hello;
  protected readonly facts: MotorFacts;
  protected readonly current = new PhaseCurrents();
  protected readonly modulator = new Modulator();
  private readonly sensed = new CurrentSense();
  private readonly running = new Float64Array(3);
  private readonly ended = new Float64Array(3);
  private calibrated = false;

  constructor(facts: MotorFacts, build: Build) {
    this.facts = facts;
    // Counts mean the same as for the whole controller.
    this.hello = new Sensorless(facts, build).hello;
    this.sensed.reset();
  }

  tick(sense: Sense, drive: Drive): void {
    drive.tick = sense.tick;
    drive.gates = 0;
    this.modulator.zero();
    if (!this.calibrated) this.calibrated = this.sensed.calibrate(sense) === CALIBRATED;
    else {
      this.sensed.measure(sense);
      this.current.take(sense, this.sensed.phase_A, this.running, this.ended);
      this.ended.set(this.running);
      if (this.act(sense.link * this.hello.linkPerCount_V)) drive.gates = GATE_ALL;
    }
    this.modulator.put(drive);
    this.running.set(this.modulator.duty);
  }

  /** One tick with currents; true when the legs are to be driven. */
  protected abstract act(link_V: number): boolean;
}

export class PulseProbe extends Bare {
  readonly pulses = new StartPulses();
  /** 0 while it looks, then 1 for found and 2 for refused. */ result = PULSING;

  protected act(link_V: number): boolean {
    if (this.result !== PULSING) return false;
    // Half the current limit at the tip of the first try, as in the controller.
    const { most_A, ld_H } = this.facts;
    const volt = Math.min(0.3 * link_V, (0.5 * most_A * ld_H) / (2 * TICK_S));
    this.result = this.pulses.step(this.current.alpha, this.current.beta, volt);
    if (this.result !== PULSING) return false;
    this.modulator.make(this.pulses.alpha_V, this.pulses.beta_V, link_V, 0, 0, 0, 1);
    return true;
  }

  get refused(): boolean {
    return this.result === NOT_FOUND;
  }
}

export class KnownAngle extends Bare {
  /** Handed in before each tick: true electrical angle and speed. */ theta_rad = 0;
  w_rad_s = 0;
  /** Currents asked for [A]. */ id_A = 0;
  iq_A = 0;
  /** Error put on the angle [rad], and periods by which the voltage is sent ahead. */ error_rad = 0;
  ahead_ticks = 1.5;
  /** Voltage of the last command in the frame of the angle [V]. */ ud_V = 0;
  uq_V = 0;
  private readonly loop: CurrentLoop;

  constructor(facts: MotorFacts, build: Build) {
    super(facts, build);
    this.loop = new CurrentLoop(TICK_S, facts);
  }

  protected act(link_V: number): boolean {
    const theta = this.theta_rad + this.error_rad;
    const c = Math.cos(theta);
    const s = Math.sin(theta);
    const { alpha, beta } = this.current;
    this.loop.step(this.id_A - c * alpha - s * beta, this.iq_A - c * beta + s * alpha, this.w_rad_s, 0.16);
    this.loop.limit((0.95 * link_V) / Math.sqrt(3));
    this.ud_V = this.loop.ud;
    this.uq_V = this.loop.uq;
    const ahead = theta + this.ahead_ticks * TICK_S * this.w_rad_s;
    const ca = Math.cos(ahead);
    const sa = Math.sin(ahead);
    this.modulator.make(ca * this.ud_V - sa * this.uq_V, sa * this.ud_V + ca * this.uq_V, link_V, 0, 0, 0, 1);
    return true;
  }
}
