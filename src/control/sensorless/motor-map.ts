/**
 * Flux and current of the motor as the firmware knows it, in the rotor frame, both ways.
 *
 * Model   the map of motor-facts.ts. Flux from current by Newton from the flux of the last tick: two rounds, because a current
 *         moves by some amperes a tick.
 * Source  see motor-facts.ts.
 */
import type { MotorFacts } from '../motor-facts.ts';

const ROUNDS = 2;
/** The flux is looked for up to that of this many current limits: a map that turns over has none for every current. */
const REACH = 2;

export class MotorMap {
  readonly facts: MotorFacts;
  /** Flux that is not the magnet's [Wb], of the last current that was asked for. */ x = 0;
  q = 0;
  /** Inverse incremental inductances there [1/H]. */ gdd: number;
  gqq: number;
  gdq = 0;
  private readonly gd: number;
  private readonly gq: number;
  private readonly mostX: number;
  private readonly mostQ: number;

  constructor(facts: MotorFacts) {
    this.facts = facts;
    this.gd = 1 / facts.ld_H;
    this.gq = 1 / facts.lq_H;
    this.gdd = this.gd;
    this.gqq = this.gq;
    this.mostX = REACH * facts.most_A * facts.ld_H;
    this.mostQ = REACH * facts.most_A * facts.lq_H;
  }

  reset(): void {
    this.x = 0;
    this.q = 0;
    this.slope();
  }

  /** Finds the flux of a current [A]; leaves it in x and q, and the slopes there. */
  solve(id_A: number, iq_A: number): void {
    const { satD2: a, satD3: b, satCross: c, satQ3: d } = this.facts;
    for (let n = 0; n < ROUNDS; n++) {
      const { x, q } = this;
      const offD = x * (this.gd + x * (a + b * x)) + c * q * q - id_A;
      const offQ = q * (this.gq + d * q * q + 2 * c * x) - iq_A;
      const per = 1 / (this.gdd * this.gqq - this.gdq * this.gdq);
      const nextX = x - per * (this.gqq * offD - this.gdq * offQ);
      const nextQ = q - per * (this.gdd * offQ - this.gdq * offD);
      this.x = Math.max(-this.mostX, Math.min(this.mostX, nextX));
      this.q = Math.max(-this.mostQ, Math.min(this.mostQ, nextQ));
      this.slope();
    }
  }

  private slope(): void {
    const { satD2: a, satD3: b, satCross: c, satQ3: d } = this.facts;
    const { x, q } = this;
    // A map that was measured in a band may turn over beyond it: there the slope at no current holds.
    const dd = this.gd + x * (2 * a + 3 * b * x);
    const qq = this.gq + 3 * d * q * q + 2 * c * x;
    this.gdd = Math.max(dd, 0.3 * this.gd);
    this.gqq = Math.max(qq, 0.3 * this.gq);
    this.gdq = 2 * c * q;
  }
}
