/**
 * A salient winding without saturation on a rotor of constant speed, between samples exactly: no step, no engine.
 *
 * Model   in the rotor frame d psi/dt = v - R L^-1 (psi - psi_m) - w J psi; a voltage that stands still in the stator turns
 *         backwards there: dv/dt = -w J v. Five linear equations with the constant magnet, solved by the exponential of their matrix.
 * Source  Pillay, Krishnan, "Modeling of permanent magnet motor drives", IEEE Trans. Ind. Electron. 35(4), 1988 (bibliography
 *         read, text not); exponential by scaling and squaring: Golub, Van Loan, "Matrix Computations" (from memory).
 */
import type { MotorFacts } from '../../../src/control/motor-facts.ts';

function product(a: number[][], b: number[][]): number[][] {
  return a.map((row) => b[0].map((_, j) => row.reduce((sum, v, k) => sum + v * b[k][j], 0)));
}

/** e to a matrix: Taylor on a 2^-10 of it, then squared ten times. */
export function matrixExponential(a: number[][]): number[][] {
  const unit = a.map((row, i) => row.map((_, j): number => (i === j ? 1 : 0)));
  const small = a.map((row) => row.map((v) => v / 1024));
  let out = unit;
  for (let n = 14; n > 0; n--) {
    out = product(
      small.map((row) => row.map((v) => v / n)),
      out,
    ).map((row, i) => row.map((v, j) => v + unit[i][j]));
  }
  for (let n = 0; n < 10; n++) out = product(out, out);
  return out;
}

export class ExactWinding {
  /** Electrical rotor angle [rad], not wrapped. */ theta = 0;
  /** Flux in the rotor frame [Wb]. */ psiD: number;
  psiQ = 0;
  readonly facts: MotorFacts;
  readonly w: number;
  private readonly over: number[][];
  private readonly span_s: number;

  /** Without current, at an electrical speed [rad/s]; `span_s` is the time of one run. */
  constructor(facts: MotorFacts, w_rad_s: number, theta_rad: number, span_s: number) {
    const { r_ohm: r, ld_H, lq_H, lambda_Wb } = facts;
    this.facts = facts;
    this.w = w_rad_s;
    this.theta = theta_rad;
    this.span_s = span_s;
    this.psiD = lambda_Wb;
    const w = w_rad_s;
    const slope = [
      [-r / ld_H, w, 1, 0, (r * lambda_Wb) / ld_H],
      [-w, -r / lq_H, 0, 1, 0],
      [0, 0, 0, w, 0],
      [0, 0, -w, 0, 0],
      [0, 0, 0, 0, 0],
    ];
    this.over = matrixExponential(slope.map((row) => row.map((v) => v * span_s)));
  }

  /** One span with a voltage that stands still in the stator [V]. */
  run(alpha_V: number, beta_V: number): void {
    const c = Math.cos(this.theta);
    const s = Math.sin(this.theta);
    const y = [this.psiD, this.psiQ, c * alpha_V + s * beta_V, c * beta_V - s * alpha_V, 1];
    const next = [0, 1].map((i) => this.over[i].reduce((sum, v, j) => sum + v * y[j], 0));
    [this.psiD, this.psiQ] = next;
    this.theta += this.w * this.span_s;
  }

  put(id_A: number, iq_A: number): void {
    this.psiD = this.facts.lambda_Wb + this.facts.ld_H * id_A;
    this.psiQ = this.facts.lq_H * iq_A;
  }

  get id_A(): number {
    return (this.psiD - this.facts.lambda_Wb) / this.facts.ld_H;
  }

  get iq_A(): number {
    return this.psiQ / this.facts.lq_H;
  }

  get alpha_A(): number {
    return Math.cos(this.theta) * this.id_A - Math.sin(this.theta) * this.iq_A;
  }

  get beta_A(): number {
    return Math.sin(this.theta) * this.id_A + Math.cos(this.theta) * this.iq_A;
  }

  /**
   * Voltage in the rotor frame, put out at the middle of a span, that brings the current from (id, iq) back to it: what a
   * controller has to make in steady state. Linear in both axes, so three trials give it exactly.
   */
  holding_V(id_A: number, iq_A: number): [number, number] {
    const trial = (d: number, q: number) => {
      const twin = new ExactWinding(this.facts, this.w, 0, this.span_s);
      twin.put(id_A, iq_A);
      const half = 0.5 * this.w * this.span_s;
      twin.run(Math.cos(half) * d - Math.sin(half) * q, Math.sin(half) * d + Math.cos(half) * q);
      return [twin.id_A, twin.iq_A];
    };
    const [d0, q0] = trial(0, 0);
    const [dd, qd] = trial(1, 0);
    const [dq, qq] = trial(0, 1);
    const [a, b, c, d] = [dd - d0, dq - d0, qd - q0, qq - q0];
    const det = a * d - b * c;
    return [(d * (id_A - d0) - b * (iq_A - q0)) / det, (a * (iq_A - q0) - c * (id_A - d0)) / det];
  }
}
