/**
 * Slow and sturdy current regulator in a frame that turns with a given angle: it has to work before the motor is known well.
 *
 * Scheme  proportional and integral on both axes, gains from a rough inductance: a fifth of the dead-beat gain, and a zero at 400
 *         rad/s, below any L / R of such windings times ten. Voltage of turning inductance ahead; the command is turned on
 *         to the middle of the period in which it acts.
 * Source  common practice, from memory.
 */
import { cosine, sine } from '../../units/elementary.ts';
import type { PowerStage } from './power-stage.ts';

const GAIN = 0.2;
const ZERO_RAD_S = 400;
/** Largest voltage, as a share of the link. */
const MOST_SHARE = 0.5;

export class VectorLoop {
  /** Current in the frame at the last step [A]. */ id = 0;
  iq = 0;
  private readonly tick_s: number;
  private kp = 0;
  private henry = 0;
  private d = 0;
  private q = 0;

  constructor(tick_s: number) {
    this.tick_s = tick_s;
  }

  /** Starts from nothing. @param henry rough inductance [H] */
  start(henry: number): void {
    this.henry = henry;
    this.kp = (GAIN * henry) / this.tick_s;
    this.d = 0;
    this.q = 0;
  }

  /** The frame jumps by an angle [rad]: what has been learned stays where it was in the stator. */
  turn(by_rad: number): void {
    const c = cosine(by_rad);
    const s = sine(by_rad);
    const { d, q } = this;
    this.d = c * d + s * q;
    this.q = c * q - s * d;
  }

  /** One tick with references [A] in the frame at theta, which turns at w. */
  step(stage: PowerStage, theta_rad: number, w_rad_s: number, idRef_A: number, iqRef_A: number): void {
    const c = cosine(theta_rad);
    const s = sine(theta_rad);
    this.id = c * stage.iAlpha + s * stage.iBeta;
    this.iq = c * stage.iBeta - s * stage.iAlpha;
    const eD = idRef_A - this.id;
    const eQ = iqRef_A - this.iq;
    const ki = this.kp * ZERO_RAD_S * this.tick_s;
    this.d += ki * eD;
    this.q += ki * eQ;
    let ud = this.kp * eD + this.d - w_rad_s * this.henry * iqRef_A;
    let uq = this.kp * eQ + this.q + w_rad_s * this.henry * idRef_A;
    const size = Math.sqrt(ud * ud + uq * uq);
    const most = MOST_SHARE * stage.link_V;
    if (size > most) {
      ud *= most / size;
      uq *= most / size;
      this.d -= ki * eD;
      this.q -= ki * eQ;
    }
    const ahead = theta_rad + 1.5 * this.tick_s * w_rad_s;
    const ca = cosine(ahead);
    const sa = sine(ahead);
    stage.volts(ca * ud - sa * uq, sa * ud + ca * uq);
  }
}
