/**
 * A drive as averages over a PWM period: no switches, no ripple. It shares no code with the plant.
 *
 * Model   dq winding with constant inductances and a rotor with viscous drag:
 *         vd = R id + Ld did/dt - we Lq iq, vq = R iq + Lq diq/dt + we (Ld id + lambda),
 *         J dw/dt = 1.5 p (lambda + (Ld - Lq) id) iq - B w. The voltage is duty times link, constant in the stator frame for a
 *         period.
 * Scheme  npm odex, one call a period; the integrals of the currents are states of their own.
 * Source  Pillay, Krishnan, "Modeling of permanent magnet motor drives", IEEE Trans. Ind. Electron. 35(4), 1988
 *         (bibliography read, text not).
 */
import { Solver } from 'odex';

export interface AveragedParams {
  readonly polePairs: number;
  readonly r_ohm: number;
  readonly ld_H: number;
  readonly lq_H: number;
  readonly magnet_Wb: number;
  /** Infinity for a rotor of constant speed. */ readonly rotor_kgm2: number;
  readonly viscous_Nms: number;
}

/** A vector in the stator frame or in the rotor frame: alpha and beta, or d and q. */
export type Pair = readonly [number, number];

/** The vector turned forward by an angle. */
export function turned([a, b]: Pair, angle_rad: number): Pair {
  const c = Math.cos(angle_rad);
  const s = Math.sin(angle_rad);
  return [c * a - s * b, s * a + c * b];
}

/** Duties of the three legs for a stator-frame voltage, centered on half the link. */
export function dutiesOf([alpha, beta]: Pair, link_V: number): [number, number, number] {
  const b = (Math.sqrt(3) / 2) * beta;
  return [0.5 + alpha / link_V, 0.5 + (b - alpha / 2) / link_V, 0.5 + (-b - alpha / 2) / link_V];
}

/** Vector of the signs of the three currents of a stator-frame vector: length 4/3, in one of six places. */
function signVector([alpha, beta]: Pair): Pair {
  const b = (Math.sqrt(3) / 2) * beta;
  const [sa, sb, sc] = [alpha, b - alpha / 2, -b - alpha / 2].map(Math.sign);
  return [(2 * sa - sb - sc) / 3, (sb - sc) / Math.sqrt(3)];
}

export class AveragedDrive {
  private readonly p: AveragedParams;
  /** id, iq [A], speed [rad/s], electrical angle [rad]. */
  private y: number[];
  private readonly solver = new Solver(6);

  constructor(p: AveragedParams, speed_rad_s: number, angle_rad: number) {
    this.p = p;
    this.y = [0, 0, speed_rad_s, angle_rad];
    this.solver.absoluteTolerance = 1e-8;
    this.solver.relativeTolerance = 1e-8;
  }

  get speed_rad_s(): number {
    return this.y[2];
  }

  /** Electrical rotor angle [rad], not wrapped. */
  get angle_rad(): number {
    return this.y[3];
  }

  /**
   * Runs one period with a stator-frame voltage, less lost_V along the signs of the currents as they are at each moment; the
   * mean id and iq of it [A].
   */
  run(voltage_V: Pair, lost_V: number, period_s: number): Pair {
    const { polePairs: pp, r_ohm, ld_H, lq_H, magnet_Wb, rotor_kgm2, viscous_Nms } = this.p;
    const f = (_t: number, [id, iq, w, angle]: number[]): number[] => {
      const [sa, sb] = lost_V === 0 ? [0, 0] : signVector(turned([id, iq], angle));
      const [vd, vq] = turned([voltage_V[0] - lost_V * sa, voltage_V[1] - lost_V * sb], -angle);
      const we = pp * w;
      const torque = 1.5 * pp * (magnet_Wb + (ld_H - lq_H) * id) * iq - viscous_Nms * w;
      return [
        (vd - r_ohm * id + we * lq_H * iq) / ld_H,
        (vq - r_ohm * iq - we * (ld_H * id + magnet_Wb)) / lq_H,
        torque / rotor_kgm2,
        we,
        id,
        iq,
      ];
    };
    const { y } = this.solver.solve(f, 0, [...this.y, 0, 0], period_s);
    this.y = y.slice(0, 4);
    return [y[4] / period_s, y[5] / period_s];
  }
}
