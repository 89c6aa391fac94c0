/**
 * Current vector from the shunts that could be read.
 *
 * Scheme  a low-side shunt needs a window, and the sample lies between two periods: the larger duty of both counts. With all windows
 *         long enough all three shunts are used, less what they have in common; otherwise the leg with the largest duty follows
 *         from the other two. A shunt that is not fitted follows always.
 * Source  common practice; Blaabjerg et al., IEEE Trans. Ind. Appl. 33(5), 1997 (from memory), on reconstruction.
 */
import { NOT_FITTED, type Sense } from '../../protocol/frames.ts';

const PER_ROOT_3 = 0.5773502691896258;
/** Duty above which a low side is too short for dead time, settling and sample: 2.5 us of 50 us on either side. */
const DUTY_MOST = 0.9;

export class PhaseCurrents {
  /** Stator frame [A]. */ alpha = 0;
  beta = 0;
  private readonly i = new Float64Array(3);

  /** @param phase_A currents by their shunts  @param now, before duties of the running and of the last period */
  take(sense: Sense, phase_A: Float64Array, now: Float64Array, before: Float64Array): void {
    const { i } = this;
    let worst = -1;
    let largest = DUTY_MOST;
    const missing = sense.ia === NOT_FITTED || sense.ib === NOT_FITTED || sense.ic === NOT_FITTED;
    for (let k = 0; k < 3; k++) {
      i[k] = phase_A[k];
      const duty = Math.max(now[k], before[k]);
      if (duty > largest) {
        largest = duty;
        worst = k;
      }
    }
    // With two shunts fitted the third one has been made of them already.
    if (!missing && worst >= 0) i[worst] = -(i[(worst + 1) % 3] + i[(worst + 2) % 3]);
    this.alpha = (2 * i[0] - i[1] - i[2]) / 3;
    this.beta = PER_ROOT_3 * (i[1] - i[2]);
  }
}
