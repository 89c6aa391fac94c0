/**
 * A motor for a board in rate-split, without a motor: the averaged model of a drive with current control, and the speed
 * loop that the trigger moves.
 *
 * Model   torque = k i, voltage = r i + k w, as of a machine with one winding; the current follows its demand at once as
 *         long as the link has the voltage for it, and the bridge loses nothing: link * drawn = voltage * current.
 *         The link is that of the Scene, open - source * drawn. Dry friction of the own rotor and the hold of the Scene are
 *         one bound: within it the shaft stands.
 * Scheme  steps of at most 50 us; speed by the implicit rule in the dry torque, angle by the mean speed.
 * Source  textbook of the direct-current machine (from memory); every number is illustrative.
 */

import type { PacedMotor } from '../../src/links/served-paced.ts';
import {
  PROTOCOL_VERSION,
  type Report,
  SCENE_IN,
  SCENE_OUT,
  SCENE_POWER,
  type Scene,
  STATE_COASTING,
  STATE_READY,
  STATE_RUNNING,
  TRIP_NONE,
} from '../../src/protocol/frames.ts';
import type { Hello } from '../../src/protocol/hello.ts';

export interface PacedMotorSettings {
  /** Torque per ampere, and volts per speed. */ readonly k_Nm_A: number;
  readonly r_ohm: number;
  readonly rotor_kgm2: number;
  readonly friction_Nm: number;
  readonly viscous_Nms: number;
  readonly limit_A: number;
  /** Speed of the full trigger. */ readonly full_rad_s: number;
  readonly kp_A_s_rad: number;
  readonly ki_A_rad: number;
}

export const PACED_MOTOR: PacedMotorSettings = Object.freeze({
  k_Nm_A: 0.008,
  r_ohm: 0.02,
  rotor_kgm2: 3.3e-6,
  friction_Nm: 0.006,
  viscous_Nms: 1e-6,
  limit_A: 70,
  full_rad_s: 1900,
  kp_A_s_rad: 0.1,
  ki_A_rad: 1,
});

export const PACED_HELLO: Hello = Object.freeze({
  version: PROTOCOL_VERSION,
  board: 'paced board, a motor model behind Scene and Report',
  uid: 'example 1',
  firmware: 'paced-1',
  pwm_Hz: 20_000,
  updates: 1,
  bits: 12,
  shunts: 'abc',
  currentPerCount_A: 0.08,
  currentZero_counts: 2048,
  linkPerCount_V: 0.00886,
  triggerLow_counts: 410,
  triggerHigh_counts: 3686,
  halls: false,
  virtualTick: false,
  rateSplit: true,
  credits: 2,
  watch: [{ name: 'motor current', unit: 'A' }],
});

const STEP_S = 50e-6;
/** Travel below which nothing is asked for. */
const DEAD_BAND = 0.05;
const COUNTS_A_RAD = 65536 / (2 * Math.PI);

export class AveragedMotor implements PacedMotor {
  readonly hello: Hello;
  speed_rad_s = 0;
  angle_rad = 0;
  private readonly m: PacedMotorSettings;
  private sum = 0;
  private drawn_A = 0;

  constructor(settings: Partial<PacedMotorSettings> = {}, hello: Partial<Hello> = {}) {
    this.m = Object.freeze({ ...PACED_MOTOR, ...settings });
    this.hello = Object.freeze({ ...PACED_HELLO, ...hello });
  }

  run(scene: Scene, span_s: number, report: Report): void {
    const { m } = this;
    const steps = Math.ceil(span_s / STEP_S - 1e-9);
    const dt = span_s / steps;
    const asked_rad_s = this.asked_rad_s(scene);
    const live = (scene.levels & SCENE_POWER) !== 0;
    const drives = live && asked_rad_s !== 0;
    if (!drives) this.sum = 0;
    let torque = 0;
    let charge = 0;
    let heat = 0;
    let current = 0;
    for (let k = 0; k < steps; k++) {
      current = drives ? this.current_A(scene, asked_rad_s, dt) : 0;
      if (!drives) this.drawn_A = 0;
      torque += this.turn(scene, current, dt);
      charge += this.drawn_A;
      heat += m.r_ohm * current * current;
    }
    report.state = drives ? STATE_RUNNING : Math.abs(this.speed_rad_s) > 1 ? STATE_COASTING : STATE_READY;
    report.trip = TRIP_NONE;
    report.angle = Math.round(this.angle_rad * COUNTS_A_RAD) >>> 0;
    report.speed = this.speed_rad_s;
    report.torque = torque / steps;
    report.drawn = charge / steps;
    report.loss = heat / steps;
    report.busy = 0;
    report.watch[0] = current;
  }

  private asked_rad_s({ levels, trigger }: Scene): number {
    const { triggerLow_counts: low, triggerHigh_counts: high } = this.hello;
    const travel = Math.min(1, (trigger - low) / (high - low));
    const side = (levels & SCENE_IN) !== 0 ? 1 : (levels & SCENE_OUT) !== 0 ? -1 : 0;
    return travel > DEAD_BAND ? (side * this.m.full_rad_s * (travel - DEAD_BAND)) / (1 - DEAD_BAND) : 0;
  }

  /** Speed loop, current limit, and what the link has the voltage for. */
  private current_A({ open, source }: Scene, asked_rad_s: number, dt: number): number {
    const { m } = this;
    const link = Math.max(0, open - source * this.drawn_A);
    const emf = m.k_Nm_A * this.speed_rad_s;
    const most = Math.max(-m.limit_A, Math.min(m.limit_A, (link - emf) / m.r_ohm));
    const least = Math.min(m.limit_A, Math.max(-m.limit_A, (-link - emf) / m.r_ohm));
    const off = asked_rad_s - this.speed_rad_s;
    const wish = m.kp_A_s_rad * off + this.sum;
    const current = Math.max(least, Math.min(most, wish));
    // The sum waits while a limit holds, unless it leads away from it.
    if (wish === current || (wish - current) * off < 0) this.sum += m.ki_A_rad * off * dt;
    this.drawn_A = link > 0 ? ((m.r_ohm * current + emf) * current) / link : 0;
    return current;
  }

  /** One step of the shaft; returns the torque that it put on what lies around the motor. */
  private turn(scene: Scene, current_A: number, dt: number): number {
    const { m } = this;
    const before = this.speed_rad_s;
    const inertia = m.rotor_kgm2 + scene.inertia;
    const made = m.k_Nm_A * current_A - m.viscous_Nms * before;
    const dry = scene.hold + m.friction_Nm;
    const free = inertia * before + dt * (made + scene.push);
    const after = (free - clamp(free, dt * dry)) / inertia;
    this.speed_rad_s = after;
    this.angle_rad += 0.5 * dt * (before + after);
    // What turns rubs in its own bearing; what stands leans on it first.
    const way = before + after;
    const own = way === 0 ? clamp(made, m.friction_Nm) : Math.sign(way) * m.friction_Nm;
    return made - own - (m.rotor_kgm2 * (after - before)) / dt;
  }
}

const clamp = (value: number, most: number): number => Math.max(-most, Math.min(most, value));
