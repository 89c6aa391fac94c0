/**
 * The map between flux and current, fitted to the record of the pulses.
 *
 * Model   id = x/Ld + a x^2 + b x^3 + c q^2, iq = q/Lq + d q^3 + 2 c x q: linear in the unknowns once the flux is known. The flux is the
 *         integral of u - R i from the start of a pulse, seen from the rotor, which its own torque turns a little meanwhile.
 * Scheme  Gauss-Newton with two more unknowns. A resistance that the pulses see besides R: the link sags with the current
 *         between its samples, which widens the loop of flux over current and is told from a slope by that. A linear cross term: it is
 *         the angle by which the rotor lies off phase A after the current let it go; the frame is turned by it and the fit repeated.
 *         Then each pulse is turned a little more for itself: the one before may have moved the rotor.
 *         Flux and current are divided by their largest, so that all unknowns are of the size of 1.
 * North   the square term a is positive where the magnet points, because the magnet has used up iron on that side.
 * Source  map: see motor-facts.ts; the fit is derived here.
 */
import { angleOf, cosine, sine } from '../../units/elementary.ts';
import { LeastSquares } from './least-squares.ts';
import { type MapPulses, PULSES } from './map-pulses.ts';

const ROUNDS = 6;
/** Keeps a pulse that says little about its angle from being turned by noise: a tick of 0.2 % over 2 degrees. */
const STIFF = 0.004;
/** Saliency below this share tells no axis. */
const SALIENT = 0.03;

const GD = 0;
const A2 = 1;
const B3 = 2;
const GQ = 3;
const D3 = 4;
const CROSS = 5;
const TILT = 6;
const OHM = 7;

/** What is known of the motor before the pulses. */
export class RotorFacts {
  r_ohm = 0;
  lambda_Wb = 0;
  inertia_kgm2 = 0;
  polePairs = 1;
}

export class MapFit {
  ld_H = 0;
  lq_H = 0;
  satD2 = 0;
  satD3 = 0;
  satQ3 = 0;
  satCross = 0;
  /** Angle of magnet north against phase A [rad]. */ tilt_rad = 0;
  /** Resistance that the pulses saw besides R [ohm]. */ extra_ohm = 0;
  /** Root mean square current that the map does not explain [A]. */ rest_A = 0;
  /** Square term over its deviation: how sure north is. */ north = 0;
  private readonly fit = new LeastSquares(8);
  private readonly rowD = new Float64Array(8);
  private readonly rowQ = new Float64Array(8);
  /** Where north was when each pulse began [rad]. */ private readonly start = new Float64Array(PULSES);
  /** Of the pulse at hand: what the last map leaves over against turning the frame, and turning against itself. */
  private turnRest = 0;
  private turnTurn = 0;

  /** Fits; false when the record does not tell the unknowns apart. @param henry rough inductance @param tip_A for scale */
  run(pulses: MapPulses, tick_s: number, rotor: RotorFacts, henry: number, tip_A: number): boolean {
    const flux = henry * tip_A;
    this.start.fill(0);
    this.extra_ohm = 0;
    this.fit.solution.fill(0);
    this.fit.solution[GD] = 1;
    this.fit.solution[GQ] = 1;
    for (let round = 0; round < ROUNDS; round++) {
      this.fit.reset();
      for (let pulse = 0; pulse < PULSES; pulse++) {
        this.sum(pulses, pulse, tick_s, rotor, flux, tip_A);
        if (round > 0 && this.salient()) this.start[pulse] -= this.turnRest / (this.turnTurn + STIFF);
      }
      if (!this.fit.solve()) return false;
      this.renew(tip_A, flux);
    }
    this.tilt_rad = 0;
    for (let pulse = 0; pulse < PULSES; pulse++) this.tilt_rad += this.start[pulse] / PULSES;
    const s = this.fit.solution;
    this.ld_H = henry / s[GD];
    this.lq_H = henry / s[GQ];
    this.satD2 = (s[A2] * tip_A) / (flux * flux);
    this.satD3 = (s[B3] * tip_A) / (flux * flux * flux);
    this.satQ3 = (s[D3] * tip_A) / (flux * flux * flux);
    this.satCross = (s[CROSS] * tip_A) / (flux * flux);
    this.rest_A = this.fit.rest * tip_A;
    const deviation = this.fit.deviation(A2);
    this.north = deviation > 0 ? s[A2] / deviation : 0;
    return true;
  }

  /** Takes resistance and angle over into the frame in which the next round looks. */
  private renew(tip_A: number, flux: number): void {
    const s = this.fit.solution;
    this.extra_ohm += (s[OHM] * flux) / tip_A;
    if (!this.salient()) return;
    const gap = s[GD] - s[GQ];
    const turn = 0.5 * angleOf(gap > 0 ? 2 * s[TILT] : -2 * s[TILT], Math.abs(gap));
    for (let pulse = 0; pulse < PULSES; pulse++) this.start[pulse] += turn;
  }

  private salient(): boolean {
    const s = this.fit.solution;
    return Math.abs(s[GD] - s[GQ]) > SALIENT * s[GD];
  }

  /** Rows of one pulse. */
  private sum(p: MapPulses, pulse: number, tick_s: number, rotor: RotorFacts, flux: number, tip_A: number): void {
    const { record, length } = p;
    const { lambda_Wb: lambda, polePairs: pp } = rotor;
    const ohm = rotor.r_ohm + this.extra_ohm;
    const from = this.start[pulse];
    const push = (1.5 * pp * pp * lambda * tick_s) / rotor.inertia_kgm2;
    let psiA = lambda * cosine(from);
    let psiB = lambda * sine(from);
    let chargeA = 0;
    let chargeB = 0;
    let theta = from;
    let w = 0;
    this.turnRest = 0;
    this.turnTurn = 0;
    for (let k = 0; k < length; k++) {
      const at = 6 * (pulse * length + k);
      const jA = record[at + 2];
      const jB = record[at + 3];
      const iA = record[at + 4];
      const iB = record[at + 5];
      psiA += tick_s * (record[at] - ohm * jA);
      psiB += tick_s * (record[at + 1] - ohm * jB);
      chargeA += tick_s * jA;
      chargeB += tick_s * jB;
      const before = w;
      w += push * (cosine(theta) * jB - sine(theta) * jA);
      theta += 0.5 * tick_s * (before + w);
      const c = cosine(theta);
      const s = sine(theta);
      this.row(
        (c * psiA + s * psiB - lambda) / flux,
        (c * psiB - s * psiA) / flux,
        (c * chargeA + s * chargeB) / tip_A,
        (c * chargeB - s * chargeA) / tip_A,
        (c * iA + s * iB) / tip_A,
        (c * iB - s * iA) / tip_A,
      );
    }
  }

  /** One sample: flux x, q, charge, current, all in units of the scale; charge in seconds of the tip current. */
  private row(x: number, q: number, chargeD: number, chargeQ: number, id: number, iq: number): void {
    const { rowD, rowQ } = this;
    const s = this.fit.solution;
    const gdd = s[GD] + 2 * s[A2] * x + 3 * s[B3] * x * x;
    const gqq = s[GQ] + 3 * s[D3] * q * q + 2 * s[CROSS] * x;
    const gdq = 2 * s[CROSS] * q;
    rowD[GD] = x;
    rowD[A2] = x * x;
    rowD[B3] = x * x * x;
    rowD[CROSS] = q * q;
    rowD[TILT] = q;
    rowD[OHM] = -(gdd * chargeD + gdq * chargeQ);
    rowQ[GQ] = q;
    rowQ[D3] = q * q * q;
    rowQ[CROSS] = 2 * x * q;
    rowQ[TILT] = x;
    rowQ[OHM] = -(gqq * chargeQ + gdq * chargeD);
    this.fit.add(rowD, id);
    this.fit.add(rowQ, iq);
    let restD = id;
    let restQ = iq;
    for (let k = 0; k < 6; k++) {
      restD -= rowD[k] * s[k];
      restQ -= rowQ[k] * s[k];
    }
    const turnD = iq - gdd * q + gdq * x;
    const turnQ = gqq * x - gdq * q - id;
    this.turnRest += restD * turnD + restQ * turnQ;
    this.turnTurn += turnD * turnD + turnQ * turnQ;
  }
}
