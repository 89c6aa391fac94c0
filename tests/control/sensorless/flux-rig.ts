/**
 * An estimator on an exact winding that turns at constant speed: flux alone, no injection. It starts as a controller does on a
 * coasting rotor: two periods with open legs, in which the magnet alone makes the flux, then the current comes in 20 ms.
 */
import type { MotorFacts } from '../../../src/control/motor-facts.ts';
import { Estimator } from '../../../src/control/sensorless/estimator.ts';
import { MotorMap } from '../../../src/control/sensorless/motor-map.ts';
import type { SensorlessSettings } from '../../../src/control/sensorless/settings.ts';
import { ExactWinding } from './exact-winding.ts';
import { SETTINGS, TICK_S } from './motor-d.ts';

const LINK_V = 18;
const OPEN_TICKS = 2;
const RAMP_TICKS = 400;

export function wrapped(x: number): number {
  return x - 2 * Math.PI * Math.round(x / (2 * Math.PI));
}

export interface FluxCase {
  /** Electrical speed [rad/s]. */ readonly w: number;
  readonly id_A?: number;
  readonly iq_A?: number;
  /** What the estimator believes; the motor's own facts when absent. */ readonly known?: MotorFacts;
  /** Voltage believed beyond the one that is made, in the rotor frame [V]. */ readonly extra_V?: readonly [
    number,
    number,
  ];
  readonly set?: Partial<SensorlessSettings>;
  /** Angle by which the estimator starts behind the rotor [rad]. */ readonly behind_rad?: number;
}

export class FluxRig {
  readonly winding: ExactWinding;
  readonly estimator: Estimator;
  private readonly empty: readonly [number, number];
  private readonly full: readonly [number, number];
  private readonly extra: readonly [number, number];
  private next: readonly [number, number] = [0, 0];
  private ticks = 0;

  constructor(
    motor: MotorFacts,
    { w, id_A = 0, iq_A = 0, known = motor, extra_V = [0, 0], set, behind_rad = 0 }: FluxCase,
  ) {
    this.winding = new ExactWinding(motor, w, 0.4, TICK_S);
    this.empty = this.winding.holding_V(0, 0);
    this.full = this.winding.holding_V(id_A, iq_A);
    this.extra = extra_V;
    this.estimator = new Estimator(TICK_S, new MotorMap(known), { ...SETTINGS, injectBelow_rad_s: 0, ...set }, 1e9);
    this.estimator.preset(this.winding.theta - behind_rad, w);
    this.estimator.weight = 0;
  }

  /** One period; the angle by which the estimator lags [rad] at its start, flux already looked at. */
  tick(): number {
    const { winding, estimator, empty, full, extra } = this;
    // The legs open at the moment of the preset: the command of this tick is the first one that acts.
    if (this.ticks++ === 0) this.coast();
    estimator.step(winding.alpha_A, winding.beta_A, LINK_V);
    const lag = wrapped(winding.theta - estimator.tracker.theta);
    const share = Math.min(1, this.ticks / RAMP_TICKS);
    const held = [0, 1].map((k) => empty[k] + share * (full[k] - empty[k])) as [number, number];
    const ahead = winding.theta + 1.5 * winding.w * TICK_S;
    const believed = turn([held[0] + extra[0], held[1] + extra[1]], ahead);
    estimator.sent(believed[0] / LINK_V, believed[1] / LINK_V);
    if (this.ticks < OPEN_TICKS) this.coast();
    else winding.run(this.next[0], this.next[1]);
    this.next = turn(held, ahead);
    return lag;
  }

  private coast(): void {
    this.winding.theta += this.winding.w * TICK_S;
  }

  /** Mean lag [rad] of the last tenth of some periods. */
  settle(ticks: number): number {
    const tail = Math.ceil(ticks / 10);
    let sum = 0;
    for (let n = 0; n < ticks; n++) {
      const lag = this.tick();
      if (n >= ticks - tail) sum += lag / tail;
    }
    return sum;
  }
}

/** The vector (d, q) in the stator, at an angle. */
export function turn([d, q]: readonly [number, number], angle_rad: number): [number, number] {
  const [c, s] = [Math.cos(angle_rad), Math.sin(angle_rad)];
  return [c * d - s * q, s * d + c * q];
}
