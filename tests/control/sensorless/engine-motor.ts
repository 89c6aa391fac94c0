/**
 * Winding and rotor of the engine, fed as a controller feeds them: a voltage that stands still in the stator for a period and comes
 * one period late. Saturation and motion are the engine's own.
 */
import type { MotorFacts } from '../../../src/control/motor-facts.ts';
import type { ShaftParams } from '../../../src/plant/params.ts';
import { Machine } from '../../support/rigs.ts';
import { TICK_S, windingOf } from './motor-d.ts';

const STEPS = 20;

export class EngineMotor {
  readonly machine: Machine;
  private readonly polePairs: number;
  private nextAlpha = 0;
  private nextBeta = 0;
  private nowAlpha = 0;
  private nowBeta = 0;

  constructor(facts: MotorFacts, theta_rad: number, shaft: Partial<ShaftParams> = { rotor_kgm2: 1e9 }) {
    this.polePairs = facts.polePairs;
    this.machine = new Machine(windingOf(facts), shaft);
    const [c, s] = [Math.cos(theta_rad), Math.sin(theta_rad)];
    this.machine.put('cos', c);
    this.machine.put('sin', s);
    this.machine.put('psiAlpha', facts.lambda_Wb * c);
    this.machine.put('psiBeta', facts.lambda_Wb * s);
  }

  /** Voltage for the period after the one that begins now [V]. */
  command(alpha_V: number, beta_V: number): void {
    this.nextAlpha = alpha_V;
    this.nextBeta = beta_V;
  }

  /** The period that begins now; load_Nm brakes a rotor that turns forward. */
  runPeriod(load_Nm = 0): void {
    const { machine: m } = this;
    const h_s = TICK_S / STEPS;
    for (let n = 0; n < STEPS; n++) {
      // `step` turns the voltage on by half a step from the rotor angle: it is turned back by as much here.
      const half = 0.5 * h_s * this.polePairs * m.get('rotorSpeed');
      const [c0, s0] = [m.get('cos'), m.get('sin')];
      const c = c0 * Math.cos(half) - s0 * Math.sin(half);
      const s = s0 * Math.cos(half) + c0 * Math.sin(half);
      m.step(c * this.nowAlpha + s * this.nowBeta, c * this.nowBeta - s * this.nowAlpha, h_s, load_Nm);
    }
    this.nowAlpha = this.nextAlpha;
    this.nowBeta = this.nextBeta;
  }

  get alpha_A(): number {
    return this.machine.get('iAlpha');
  }

  get beta_A(): number {
    return this.machine.get('iBeta');
  }

  get theta(): number {
    return Math.atan2(this.machine.get('sin'), this.machine.get('cos'));
  }

  /** Electrical speed [rad/s]. */
  get w(): number {
    return this.polePairs * this.machine.get('rotorSpeed');
  }

  set w(w_rad_s: number) {
    this.machine.put('rotorSpeed', w_rad_s / this.polePairs);
  }
}
