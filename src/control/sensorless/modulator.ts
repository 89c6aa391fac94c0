/**
 * From a voltage in the stator frame to duties: dead-time compensation, space vectors, lower clamp at high voltage.
 *
 * Scheme  each phase gets back what dead time takes, against the sign of its current, in a straight line within half the ripple
 *         around zero, where the current crosses within the period. Symmetric space vectors (mean of largest and smallest
 *         taken off) at low voltage; at high voltage the lowest leg stays low, which leaves the others a window to measure. That
 *         leg does not switch, so dead time takes nothing from it.
 *         The link sags while it is drawn from, by its resistance to a pulse; left alone that tilts the answer to the injection
 *         by up to six degrees, by the sector of the current.
 * Source  Holmes, Lipo, "Pulse Width Modulation for Power Converters", 2003 (from memory); dead time: Jeong, Park, IEEE Trans. Ind.
 *         Electron. 38(2), 1991 (from memory).
 */
import { type Drive, DUTY_FULL } from '../../protocol/frames.ts';

const ROOT_3_HALF = 0.8660254037844386;
/** Share of the linear voltage above which the lowest leg stays low. */
const CLAMP_ABOVE = 0.6;

export class Modulator {
  /** Duties of this command, 0 to 1. */ readonly duty = new Float64Array(3);
  private readonly v = new Float64Array(3);
  private readonly i = new Float64Array(3);

  /**
   * Duties for a mean voltage [V].
   *
   * @param link_ohm sag of the link per ampere within the period
   * @param link_V newest link voltage  @param dead_V what dead time takes, faded as the caller wants
   * @param iAlpha_A, iBeta_A current expected in the middle of the period  @param knee_A half the ripple
   */
  make(
    alpha_V: number,
    beta_V: number,
    link_V: number,
    dead_V: number,
    iAlpha_A: number,
    iBeta_A: number,
    knee_A: number,
    link_ohm = 0,
  ): void {
    const { v, i, duty } = this;
    v[0] = alpha_V;
    v[1] = -0.5 * alpha_V + ROOT_3_HALF * beta_V;
    v[2] = -0.5 * alpha_V - ROOT_3_HALF * beta_V;
    i[0] = iAlpha_A;
    i[1] = -0.5 * iAlpha_A + ROOT_3_HALF * iBeta_A;
    i[2] = -0.5 * iAlpha_A - ROOT_3_HALF * iBeta_A;
    const clamped = alpha_V * alpha_V + beta_V * beta_V > (CLAMP_ABOVE * CLAMP_ABOVE * link_V * link_V) / 3;
    const lowest = Math.min(v[0], v[1], v[2]);
    for (let k = 0; k < 3; k++) {
      if (!clamped || v[k] > lowest) v[k] += dead_V * Math.max(-1, Math.min(1, i[k] / knee_A));
    }
    this.spread(clamped, link_V);
    if (link_ohm === 0) return;
    // Back comes what the link loses while legs that are high together draw from it.
    const first = duty[0] >= duty[1] && duty[0] >= duty[2] ? 0 : duty[1] >= duty[2] ? 1 : 2;
    const next = (first + 1) % 3;
    const after = (first + 2) % 3;
    const second = duty[next] >= duty[after] ? next : after;
    const third = 3 - first - second;
    const both = (duty[second] - duty[third]) * -i[third];
    v[first] += link_ohm * ((duty[first] - duty[second]) * i[first] + both);
    v[second] += link_ohm * both;
    this.spread(clamped, link_V);
  }

  /** Phase voltages to duties, around the middle of the link or up from its minus. */
  private spread(clamped: boolean, link_V: number): void {
    const { v, duty } = this;
    const low = Math.min(v[0], v[1], v[2]);
    const high = Math.max(v[0], v[1], v[2]);
    const offset = clamped ? -low : 0.5 * link_V - 0.5 * (low + high);
    for (let k = 0; k < 3; k++) duty[k] = Math.max(0, Math.min(1, (v[k] + offset) / link_V));
  }

  /** All low: the zero vector that can be measured. */
  zero(): void {
    this.duty.fill(0);
  }

  /** Writes the duties into the frame. */
  put(drive: Drive): void {
    drive.dutyA = Math.round(this.duty[0] * DUTY_FULL);
    drive.dutyB = Math.round(this.duty[1] * DUTY_FULL);
    drive.dutyC = Math.round(this.duty[2] * DUTY_FULL);
  }
}
