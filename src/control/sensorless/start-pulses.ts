/**
 * Rotor angle at standstill, north from south, before anything turns.
 *
 * Scheme  twelve directions over the full circle in scattered order, each a voltage up, down and a rest, so that neither flux nor
 *         torque is left. The tips of the currents have a first harmonic, from saturation: it points north; and a second, from
 *         saliency: it gives the axis more sharply. Axis from the second with the sign of the first, or the first alone where
 *         there is no saliency. If both disagree, or the first is too weak, it starts anew with more voltage, then fails by
 *         name: it never guesses.
 * Source  Nakashima, Inagaki, Miki, IEEE Trans. Ind. Appl. 36(6), 2000 (from memory): pulses and saturation; harmonics over the
 *         full circle derived here.
 */
import { angleOf, cosine, sine, wrapHalf } from '../../units/elementary.ts';

export const PULSING = 0;
export const FOUND = 1;
export const NOT_FOUND = 2;

const DIRECTIONS = 12;
/** Periods up, and down. */
const UP = 2;
/** Ticks of one direction: up, down, one rest. */
const LAP = 2 * UP + 1;
/** A command acts from the next period on, and its end is sampled one period after. */
const LATE = 2;
/** First harmonic below this is no answer [A]: six deviations of the mean of twelve tips at 2 counts. */
const NORTH_LEAST_A = 0.35;
/** And less than this share of the tips: a rotor that twitches in the pulses makes up to 0.035 (tried). */
const NORTH_SHARE = 0.045;
const AXIS_LEAST_A = 1;
/** Axis and north further apart than this do not belong together [rad]. */
const APART_RAD = 0.52;
const TRIES = 3;

export class StartPulses {
  /** Electrical angle that was found [rad]. */ theta = 0;
  /** Harmonics of the tips [A]. */ north_A = 0;
  axis_A = 0;
  /** Voltage to be put out in this tick [V], stator frame. */ alpha_V = 0;
  beta_V = 0;
  private tick = 0;
  private tries = 0;
  private leftA = 0;
  private leftB = 0;
  private readonly tips = new Float64Array(DIRECTIONS);

  reset(): void {
    this.tick = 0;
    this.tries = 0;
    this.alpha_V = 0;
    this.beta_V = 0;
  }

  /** One tick; `volt_V` of the first try grows by half with each further one. */
  step(iAlpha_A: number, iBeta_A: number, volt_V: number): number {
    const seen = this.tick - LATE;
    const lapSeen = Math.floor(seen / LAP);
    // The tip stands at the end of the voltage up.
    // What the lap before left is taken off.
    if (seen >= -1 && (seen + 1) % LAP === 0) {
      this.leftA = iAlpha_A;
      this.leftB = iBeta_A;
    }
    if (seen >= 0 && seen - lapSeen * LAP === UP - 1 && lapSeen < DIRECTIONS) this.take(lapSeen, iAlpha_A, iBeta_A);
    const lap = Math.floor(this.tick / LAP);
    const place = this.tick - lap * LAP;
    this.alpha_V = 0;
    this.beta_V = 0;
    if (lap < DIRECTIONS && place < 2 * UP) {
      const volt = (place < UP ? 1 : -1) * volt_V * (1 + 0.5 * this.tries);
      const phi = direction(lap);
      this.alpha_V = volt * cosine(phi);
      this.beta_V = volt * sine(phi);
    }
    this.tick++;
    return this.tick > DIRECTIONS * LAP + LATE + 1 ? this.judge() : PULSING;
  }

  private take(lap: number, iAlpha_A: number, iBeta_A: number): void {
    const phi = direction(lap);
    this.tips[lap] = (iAlpha_A - this.leftA) * cosine(phi) + (iBeta_A - this.leftB) * sine(phi);
  }

  private judge(): number {
    let [c1, s1, c2, s2, mean] = [0, 0, 0, 0, 0];
    for (let k = 0; k < DIRECTIONS; k++) {
      const phi = direction(k);
      mean += this.tips[k] / DIRECTIONS;
      c1 += this.tips[k] * cosine(phi);
      s1 += this.tips[k] * sine(phi);
      c2 += this.tips[k] * cosine(2 * phi);
      s2 += this.tips[k] * sine(2 * phi);
    }
    const norm = 2 / DIRECTIONS;
    this.north_A = norm * Math.sqrt(c1 * c1 + s1 * s1);
    this.axis_A = norm * Math.sqrt(c2 * c2 + s2 * s2);
    const north = angleOf(s1, c1);
    const axis = 0.5 * angleOf(s2, c2);
    const near = wrapHalf(axis - north);
    const same = near < 1.5707963267948966 && near > -1.5707963267948966;
    const sharp = same ? axis : wrapHalf(axis + Math.PI);
    this.theta = this.axis_A > AXIS_LEAST_A ? sharp : north;
    const apart = wrapHalf(this.theta - north);
    const least = Math.max(NORTH_LEAST_A, NORTH_SHARE * mean);
    if (this.north_A >= least && apart < APART_RAD && apart > -APART_RAD) return FOUND;
    this.tick = 0;
    this.tries++;
    return this.tries < TRIES ? PULSING : NOT_FOUND;
  }
}

/** Direction of lap k: steps of five twelfths, so that neighbors in time are far apart. */
function direction(k: number): number {
  return ((((5 * k) % DIRECTIONS) * 2) / DIRECTIONS) * Math.PI;
}
