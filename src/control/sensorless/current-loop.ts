/**
 * Current regulator in the rotor frame that stays the same up to 13 samples a turn.
 *
 * Scheme  complex-vector form with its zero on the pole of the winding as it turns, in velocity form: it starts from the voltage
 *         that was really made, so nothing winds up. The half angle turns the answer into the middle of its period. The open loop
 *         is K / (z (z - 1)), real and independent of speed.
 * Source  Briz, Degner, Lorenz, "Analysis and design of current regulators using complex vectors", IEEE Trans. Ind. Appl. 36(3),
 *         2000; Bae, Sul, "A compensation method for time delay of full-digital synchronous frame current regulator of PWM AC
 *         drives", IEEE Trans. Ind. Appl. 39(3), 2003 (bibliographies read; this discrete form derived).
 */
import { cosine, exponential, sine } from '../../units/elementary.ts';
import type { MotorFacts } from '../motor-facts.ts';

export class CurrentLoop {
  /** Voltage asked for, in the rotor frame [V]. */ ud = 0;
  uq = 0;
  private readonly tick_s: number;
  private readonly facts: MotorFacts;
  private readonly pole: number;
  private eD = 0;
  private eQ = 0;

  constructor(tick_s: number, facts: MotorFacts) {
    this.tick_s = tick_s;
    this.facts = facts;
    this.pole = exponential((-facts.r_ohm * tick_s) / (0.5 * (facts.ld_H + facts.lq_H)));
  }

  /** Starts from a voltage that is there already: the EMF of a motor that turns. */
  preset(ud_V: number, uq_V: number): void {
    this.ud = ud_V;
    this.uq = uq_V;
    this.eD = 0;
    this.eQ = 0;
  }

  /** One tick: errors of the current [A], electrical speed, gain K. Starts from what was made last. */
  step(errorD_A: number, errorQ_A: number, w_rad_s: number, gain: number): void {
    const turn = w_rad_s * this.tick_s;
    const c = this.pole * cosine(turn);
    const s = this.pole * sine(turn);
    const rD = errorD_A - (c * this.eD + s * this.eQ);
    const rQ = errorQ_A - (c * this.eQ - s * this.eD);
    this.eD = errorD_A;
    this.eQ = errorQ_A;
    const k = gain / this.tick_s;
    const d = k * this.facts.ld_H * rD;
    const q = k * this.facts.lq_H * rQ;
    const ch = cosine(0.5 * turn);
    const sh = sine(0.5 * turn);
    this.ud += ch * d - sh * q;
    this.uq += sh * d + ch * q;
  }

  /** Takes the limit over: the voltage that is really made. Returns the length asked for [V]. */
  limit(most_V: number): number {
    const size = Math.sqrt(this.ud * this.ud + this.uq * this.uq);
    if (size > most_V) {
      this.ud *= most_V / size;
      this.uq *= most_V / size;
    }
    return size;
  }
}
