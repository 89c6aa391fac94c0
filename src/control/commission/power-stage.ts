/**
 * Between the procedures and the frames: currents in the stator frame, and the mean voltage that each period really had.
 *
 * Timing  a command answers the sample at the start of period k and acts over period k + 1; its current change is seen at the start of
 *         period k + 2. So what the last period had is the command of two ticks ago.
 * Voltage duties as they were rounded, times the mean of the link samples at both ends of the period, less what dead time takes
 *         by the sign of each current at the two edges of its leg, and less what the link sags while it is drawn from: its samples
 *         lie where it is not.
 * Source  dead time: Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991 (from memory); timing derived from the frames.
 */
import { type Drive, DUTY_FULL, GATE_ALL, type Sense } from '../../protocol/frames.ts';
import { CALIBRATED, CurrentSense } from '../current-sense.ts';

const ROOT_3 = 1.7320508075688772;
const THIRD = 1 / 3;
/** Current at an edge below which dead time acts in part only: charge of the switches, and doubt of the guess [A]. */
const KNEE_A = 1;
/** Largest duty: 3 us of low side in 50 us remain for dead time, settling and sampling. */
const DUTY_MOST = 0.94;

export class PowerStage {
  /** Sampled current [A], stator frame. */ iAlpha = 0;
  iBeta = 0;
  /** Its mean over the last period [A]. */ meanAlpha = 0;
  meanBeta = 0;
  /** Mean voltage of the last period [V], stator frame; 0 with the legs open. */ uAlpha = 0;
  uBeta = 0;
  /** The same without what dead time and sag of the link take [V]. */ rawAlpha = 0;
  rawBeta = 0;
  /** Link at the last sample, and its mean over the last period [V]. */ link_V = 0;
  meanLink_V = 0;
  /** Largest phase current at the last sample [A]. */ largest_A = 0;
  /** Mean pole voltage that dead time costs, as a share of the link; 0 until it is measured. */ deadShare = 0;
  /** Resistance of the link to a pulse [ohm]; 0 until it is measured. */ link_ohm = 0;
  private readonly sensed = new CurrentSense();
  /** Rough inductance, inverse [1/H]; 0 until it is measured. */ perHenry = 0;
  private readonly perCount_V: number;
  private readonly tick_s: number;
  private readonly duty = new Float64Array(3);
  /** Duties of the last command and of the one before. */ private readonly made = new Float64Array(6);
  /** Phase currents at the last sample and at the one before [A]. */ private readonly flow = new Float64Array(6);
  /** Of the last period: shares that the legs were high, pole voltages [V]. */
  private readonly share = new Float64Array(3);
  private readonly pole = new Float64Array(3);
  private gates = 0;

  constructor(perCount_V: number, tick_s: number) {
    this.perCount_V = perCount_V;
    this.tick_s = tick_s;
  }

  reset(): void {
    this.sensed.reset();
    this.deadShare = 0;
    this.link_ohm = 0;
    this.perHenry = 0;
    this.made.fill(0);
    this.off();
  }

  /** Takes a sample with the legs open towards the offsets; see CurrentSense.calibrate. */
  calibrate(sense: Sense): number {
    const result = this.sensed.calibrate(sense);
    this.link_V = sense.link * this.perCount_V;
    if (result === CALIBRATED) this.measure(sense);
    return result;
  }

  /** Takes the sample of this tick, and finds what the last period had. */
  measure(sense: Sense): void {
    const { sensed, flow } = this;
    sensed.measure(sense);
    const a = sensed.phase_A[0];
    const b = sensed.phase_A[1];
    const c = sensed.phase_A[2];
    const mean = THIRD * (a + b + c);
    for (let k = 0; k < 3; k++) {
      flow[3 + k] = flow[k];
      flow[k] = sensed.phase_A[k] - mean;
    }
    this.largest_A = sensed.largest_A;
    const iAlpha = THIRD * (2 * a - b - c);
    const iBeta = (b - c) / ROOT_3;
    this.meanAlpha = 0.5 * (this.iAlpha + iAlpha);
    this.meanBeta = 0.5 * (this.iBeta + iBeta);
    this.iAlpha = iAlpha;
    this.iBeta = iBeta;
    const link = sense.link * this.perCount_V;
    this.meanLink_V = 0.5 * (this.link_V + link);
    this.link_V = link;
    this.rebuild();
  }

  /** What the last period had: duties, less dead time, less the sag of the link while legs are high together. */
  private rebuild(): void {
    const { made, flow, share, pole } = this;
    const v = this.meanLink_V;
    const high = Math.max(made[3], made[4], made[5]);
    const low = Math.min(made[3], made[4], made[5]);
    for (let k = 0; k < 3; k++) {
      const d = made[3 + k];
      let rise = flow[3 + k];
      let fall = flow[k];
      if (d === low) {
        // The last leg to rise switches when the current is half way, and so does the first to fall.
        rise = 0.5 * (rise + fall);
        fall = rise;
      } else if (d < high) {
        // While the first leg is high alone, a third of the link drives the current of this one down.
        const moved = this.perHenry * v * this.tick_s * 0.5 * (high - d) * THIRD;
        rise -= moved;
        fall += moved;
      }
      share[k] = d - 0.5 * this.deadShare * (side(rise) + side(fall));
    }
    for (let k = 0; k < 3; k++) {
      // Two legs are high together for the shorter of their duties: both are centered.
      let drawn = 0;
      for (let j = 0; j < 3; j++) drawn += Math.min(share[k], share[j]) * 0.5 * (flow[j] + flow[3 + j]);
      pole[k] = share[k] * v - this.link_ohm * drawn;
    }
    this.rawAlpha = THIRD * v * (2 * made[3] - made[4] - made[5]);
    this.rawBeta = (v * (made[4] - made[5])) / ROOT_3;
    this.uAlpha = THIRD * (2 * pole[0] - pole[1] - pole[2]);
    this.uBeta = (pole[1] - pole[2]) / ROOT_3;
  }

  /** Asks for a mean voltage [V], stator frame, from symmetric space vectors. */
  volts(alpha_V: number, beta_V: number): void {
    const { duty } = this;
    const per = 1 / Math.max(1, this.link_V);
    const half = 0.5 * ROOT_3 * beta_V;
    duty[0] = alpha_V * per;
    duty[1] = (half - 0.5 * alpha_V) * per;
    duty[2] = (-half - 0.5 * alpha_V) * per;
    const low = Math.min(duty[0], duty[1], duty[2]);
    const high = Math.max(duty[0], duty[1], duty[2]);
    const offset = 0.5 - 0.5 * (low + high);
    for (let k = 0; k < 3; k++) {
      const wanted = Math.max(0, Math.min(DUTY_MOST, duty[k] + offset));
      duty[k] = Math.round(wanted * DUTY_FULL) / DUTY_FULL;
    }
    this.gates = GATE_ALL;
  }

  /** All legs low for a period. */
  short(): void {
    this.duty.fill(0);
    this.gates = GATE_ALL;
  }

  /** All legs open. */
  off(): void {
    this.duty.fill(0);
    this.gates = 0;
  }

  /** Ends the tick: writes the command into the frame and into the book. */
  put(drive: Drive): void {
    const { duty, made } = this;
    for (let k = 0; k < 3; k++) {
      made[3 + k] = made[k];
      made[k] = duty[k];
    }
    drive.gates = this.gates;
    drive.dutyA = Math.round(duty[0] * DUTY_FULL);
    drive.dutyB = Math.round(duty[1] * DUTY_FULL);
    drive.dutyC = Math.round(duty[2] * DUTY_FULL);
  }
}

/** Share of the dead time that acts, with the sign of the current. */
function side(i_A: number): number {
  return Math.max(-1, Math.min(1, i_A / KNEE_A));
}
