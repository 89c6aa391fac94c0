/**
 * Stator flux from volt-seconds, tied to the magnet: the error of the angle at speed.
 *
 * Scheme  flux change is volt-seconds, exactly, whatever the speed; only the resistive drop is approximated. What the motor map
 *         says at the estimated angle pulls the flux along the magnet axis (damping) and, while injection leads, across it.
 *         With x = (map - flux) / (turn of the map per radian) the angle is off by -Im x.
 * Source  Boldea, Paicu, Andreescu, "Active flux concept for motion-sensorless unified AC drives", IEEE Trans. Power Electron.
 *         23(5), 2008 (bibliography read); Hinkkanen et al., "Observers for sensorless synchronous motor drives: framework for
 *         design and analysis", IEEE Trans. Ind. Appl. 54(6), 2018 (bibliography read).
 */
import type { MotorMap } from './motor-map.ts';

export class FluxObserver {
  /** Stator flux [Wb]. */ alpha = 0;
  beta = 0;
  /** Error of the angle [rad], and the mismatch along the magnet, as a share: healthy near 0. */ error = 0;
  along = 0;
  private readonly tick_s: number;
  private readonly map: MotorMap;

  constructor(tick_s: number, map: MotorMap) {
    this.tick_s = tick_s;
    this.map = map;
  }

  /** Flux of the magnet alone at an angle given by cosine and sine. */
  preset(c: number, s: number): void {
    this.alpha = this.map.facts.lambda_Wb * c;
    this.beta = this.map.facts.lambda_Wb * s;
    this.error = 0;
    this.along = 0;
  }

  /** Adds the volt-seconds of the last period: voltage less resistive drop [V]. */
  integrate(eAlpha_V: number, eBeta_V: number): void {
    this.alpha += this.tick_s * eAlpha_V;
    this.beta += this.tick_s * eBeta_V;
  }

  /**
   * Holds the flux against the map, which must stand at the present current (MotorMap.solve).
   *
   * @param c, s         cosine and sine of the estimated angle
   * @param id_A, iq_A   current in that frame
   * @param damp_rad_s   twice sigma, pull along the magnet
   * @param lead_rad_s   pull across it while injection leads
   */
  correct(c: number, s: number, id_A: number, iq_A: number, damp_rad_s: number, lead_rad_s: number): void {
    const { map, tick_s: t } = this;
    const { lambda_Wb } = map.facts;
    const d = lambda_Wb + map.x;
    const { q } = map;
    // Turn of the map per radian, divided by j: flux less inductance times the turned current.
    const per = 1 / (map.gdd * map.gqq - map.gdq * map.gdq);
    const turnD = per * (map.gqq * -iq_A - map.gdq * id_A);
    const turnQ = per * (map.gdd * id_A - map.gdq * -iq_A);
    // j (auxD + j auxQ) = j (d + j q) - (turnD + j turnQ)
    const auxD = d - turnQ;
    const auxQ = q + turnD;
    const offD = d - (c * this.alpha + s * this.beta);
    const offQ = q - (c * this.beta - s * this.alpha);
    const size = 1 / (auxD * auxD + auxQ * auxQ);
    const re = (offD * auxD + offQ * auxQ) * size;
    const im = (offQ * auxD - offD * auxQ) * size;
    this.along = re;
    this.error = -im;
    const pullRe = t * damp_rad_s * re;
    const pullIm = t * lead_rad_s * im;
    const pd = auxD * pullRe - auxQ * pullIm;
    const pq = auxQ * pullRe + auxD * pullIm;
    this.alpha += c * pd - s * pq;
    this.beta += s * pd + c * pq;
  }
}
