/**
 * Resistance and dead time from direct current along phase A, at several levels, with the rotor aligned and still.
 *
 * Model   u = R I + (4/3) s V + rho I (u / V - (4/3) s). Dead time costs the share s of the link V on a pole, which makes 4/3 of
 *         it in alpha while one phase carries the current out and two carry it back. The third term is the sag of the link
 *         while current is drawn: the sample of the link lies where none is, between the pulses, and does not see it. rho is
 *         then the resistance of the link as the pulses see it.
 * Scheme  least squares over the means of the levels. One level alone would take dead time for resistance.
 * Source  line and dead-time drop: common practice, from memory; the term of the link is derived here.
 */
import { LeastSquares } from './least-squares.ts';
import { FINISHED, GOING_ON, REJECTED } from './outcome.ts';
import type { PowerStage } from './power-stage.ts';
import { REASON_LINE, REASON_OHM } from './tables.ts';
import type { VectorLoop } from './vector-loop.ts';

/** Levels as shares of the largest current, highest first: the rotor is aligned hard, then less is asked of it. */
const LEVELS = Float64Array.of(0.85, 0.7, 0.55, 0.42, 0.3, 0.2);
const RAMP_S = 0.01;
const SETTLE_S = 0.02;
const MEAN_S = 0.025;
/** Largest deviation of a level [V]. */
const REST_MOST_V = 0.02;
const OHM_LEAST = 0.002;
const OHM_MOST = 0.2;

export class Resistance {
  /** A phase with switch and shunt [ohm]. */ r_ohm = 0;
  /** Mean pole voltage that dead time costs, as a share of the link. */ deadShare = 0;
  /** Resistance of the link to a pulse [ohm]. */ link_ohm = 0;
  /** Largest deviation of a level from the model [V]. */ rest_V = 0;
  trouble = 0;
  private level = 0;
  private time_s = 0;
  private from_A = 0;
  private samples = 0;
  private readonly sum = new Float64Array(3);
  private readonly row = new Float64Array(3);
  private readonly volt = new Float64Array(LEVELS.length);
  private readonly rows = new Float64Array(3 * LEVELS.length);
  /** Unknowns of one size: volts at the largest current, volts of dead time, volts of sag. */
  private readonly size = Float64Array.of(1, 0.03, 1);
  private readonly fit = new LeastSquares(3);

  /** @param from_A current at which the rotor is held now */
  reset(from_A: number): void {
    this.level = 0;
    this.time_s = 0;
    this.from_A = from_A;
    this.trouble = 0;
    this.clear();
  }

  step(stage: PowerStage, loop: VectorLoop, tick_s: number, most_A: number): number {
    const goal = LEVELS[this.level] * most_A;
    const t = this.time_s;
    this.time_s += tick_s;
    loop.step(stage, 0, 0, this.from_A + (goal - this.from_A) * Math.min(1, t / RAMP_S), 0);
    if (t < RAMP_S + SETTLE_S) return GOING_ON;
    this.sum[0] += stage.rawAlpha;
    this.sum[1] += stage.meanAlpha;
    this.sum[2] += stage.meanLink_V;
    this.samples++;
    if (t < RAMP_S + SETTLE_S + MEAN_S) return GOING_ON;
    this.take();
    this.from_A = goal;
    this.time_s = 0;
    this.level++;
    return this.level < LEVELS.length ? GOING_ON : this.judge(most_A);
  }

  /** The means of a level become a row. */
  private take(): void {
    const { sum, level: k } = this;
    const u = sum[0] / this.samples;
    const i = sum[1] / this.samples;
    const v = sum[2] / this.samples;
    this.volt[k] = u;
    this.rows[3 * k] = i;
    this.rows[3 * k + 1] = (4 / 3) * v;
    this.rows[3 * k + 2] = (i * u) / v;
    this.clear();
  }

  private clear(): void {
    this.sum.fill(0);
    this.samples = 0;
  }

  private judge(most_A: number): number {
    const { fit, rows, row, volt } = this;
    const { size } = this;
    size[0] = 1 / most_A;
    size[2] = 1 / most_A;
    fit.reset();
    for (let k = 0; k < volt.length; k++) {
      for (let n = 0; n < 3; n++) row[n] = rows[3 * k + n] * size[n];
      fit.add(row, volt[k]);
    }
    this.trouble = REASON_LINE;
    if (!fit.solve()) return REJECTED;
    this.rest_V = 0;
    for (let k = 0; k < volt.length; k++) {
      let off = volt[k];
      for (let n = 0; n < 3; n++) off -= rows[3 * k + n] * size[n] * fit.solution[n];
      this.rest_V = Math.max(this.rest_V, Math.abs(off));
    }
    this.deadShare = Math.max(0, fit.solution[1] * size[1]);
    this.link_ohm = fit.solution[2] * size[2];
    // The slope holds what the sag does not take of the dead time.
    this.r_ohm = fit.solution[0] * size[0] + (4 / 3) * this.deadShare * this.link_ohm;
    if (!(this.rest_V <= REST_MOST_V)) return REJECTED;
    this.trouble = REASON_OHM;
    return this.r_ohm >= OHM_LEAST && this.r_ohm <= OHM_MOST ? FINISHED : REJECTED;
  }
}
