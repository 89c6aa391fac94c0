/**
 * Angle and speed of the rotor from currents and voltages: injection at low speed, flux at speed, one tracker for both.
 *
 * Order   angle on by a tick; flux on by the volt-seconds of the last period; flux held against the map; answer to the injection;
 *         both errors blended by a weight that moves over some milliseconds; tracker. The flux always runs, and while injection
 *         leads it is pulled to its angle: no step at the hand-over.
 * Timing  a current sampled now answers the voltage of the command before the last: that one acted in the period just past.
 * Source  as in its parts; blend of two error signals before one tracker: common practice, no source.
 */
import { cosine, sine } from '../../units/elementary.ts';
import { FluxObserver } from './flux-observer.ts';
import { Injection } from './injection.ts';
import type { MotorMap } from './motor-map.ts';
import type { SensorlessSettings } from './settings.ts';
import { Tracker } from './tracker.ts';

/** Ticks after a preset in which what drove the rotor's flux was no command of this controller: the legs were open. */
const OPEN_TICKS = 2;

export class Estimator {
  readonly map: MotorMap;
  readonly tracker: Tracker;
  readonly flux: FluxObserver;
  readonly injection: Injection;
  /** Weight of the injection, 0 to 1. */ weight = 0;
  /** Current in the estimated frame [A]: as sampled, and without the ripple of the injection. */ id = 0;
  iq = 0;
  idMean = 0;
  iqMean = 0;
  /** Flux and slopes of the map without that ripple. What follows them must not follow the injection, or it biases its answer. */
  readonly mean = { x: 0, q: 0, gdd: 0, gqq: 0 };
  /** Cosine and sine of the angle. */ c = 1;
  s = 0;
  private readonly tick_s: number;
  private readonly set: SensorlessSettings;
  private readonly r_ohm: number;
  private alpha = 0;
  private beta = 0;
  private readonly last = { x: 0, q: 0, gdd: 0, gqq: 0 };
  private idLast = 0;
  private iqLast = 0;
  /** Commands of this tick and of the two before, stator frame, as shares of the link. */
  private readonly shareA = new Float64Array(3);
  private readonly shareB = new Float64Array(3);
  private link = 0;
  private open = 0;

  constructor(tick_s: number, map: MotorMap, settings: SensorlessSettings, most_rad_s2: number) {
    this.tick_s = tick_s;
    this.map = map;
    this.set = settings;
    this.r_ohm = map.facts.r_ohm;
    this.tracker = new Tracker(tick_s, most_rad_s2);
    this.flux = new FluxObserver(tick_s, map);
    this.injection = new Injection(tick_s, settings.inject_V);
  }

  /** Starts from an angle and speed that are known, without current; the legs are open until the next command acts. */
  preset(theta_rad: number, w_rad_s: number): void {
    this.tracker.preset(theta_rad, w_rad_s);
    this.c = cosine(theta_rad);
    this.s = sine(theta_rad);
    this.flux.preset(this.c, this.s);
    this.injection.reset();
    this.map.reset();
    this.average();
    this.average();
    this.weight = this.slow(w_rad_s) ? 1 : 0;
    this.shareA.fill(0);
    this.shareB.fill(0);
    this.idLast = 0;
    this.iqLast = 0;
    this.alpha = 0;
    this.beta = 0;
    this.open = OPEN_TICKS;
  }

  /** Injection is wanted: it has weight, or would have it soon if something stopped the rotor. */
  get injecting(): boolean {
    const { w } = this.tracker;
    return this.weight > 0 || (w < 0 ? -w : w) < this.set.injectFrom_rad_s;
  }

  private slow(w_rad_s: number): boolean {
    const size = w_rad_s < 0 ? -w_rad_s : w_rad_s;
    return size < (this.weight > 0 ? this.set.fluxAbove_rad_s : this.set.injectBelow_rad_s);
  }

  /** What is put out in this tick: voltage in the stator frame as a share of the link. */
  sent(alphaShare: number, betaShare: number): void {
    const { shareA, shareB } = this;
    shareA[2] = shareA[1];
    shareA[1] = shareA[0];
    shareA[0] = alphaShare;
    shareB[2] = shareB[1];
    shareB[1] = shareB[0];
    shareB[0] = betaShare;
  }

  /** One tick: sampled current [A] and link voltage [V]. Call before `sent`. */
  step(iAlpha_A: number, iBeta_A: number, link_V: number): void {
    const { map, tracker, flux, injection, set, tick_s } = this;
    tracker.advance();
    const made_V = 0.5 * (this.link + link_V);
    this.link = link_V;
    const eA = this.shareA[1] * made_V - 0.5 * this.r_ohm * (iAlpha_A + this.alpha);
    const eB = this.shareB[1] * made_V - 0.5 * this.r_ohm * (iBeta_A + this.beta);
    this.alpha = iAlpha_A;
    this.beta = iBeta_A;
    this.turn();
    if (this.open > 0) {
      this.open--;
      flux.preset(this.c, this.s);
    } else flux.integrate(eA, eB);
    map.solve(this.id, this.iq);
    const speed = tracker.w < 0 ? -tracker.w : tracker.w;
    const sigma = set.sigma0_rad_s + set.zeta * speed;
    const damp = Math.min(2 * sigma, 0.5 / tick_s);
    flux.correct(this.c, this.s, this.id, this.iq, damp, this.weight * set.lead_rad_s);
    injection.seen(iAlpha_A, iBeta_A, map);
    const way = tick_s / set.handOver_s;
    this.weight = Math.max(0, Math.min(1, this.weight + (this.slow(tracker.w) ? way : -way)));
    const error = this.weight * injection.error + (1 - this.weight) * flux.error;
    tracker.correct(error, this.weight * set.bandLow_rad_s + (1 - this.weight) * set.bandHigh_rad_s);
    this.turn();
    this.idMean = this.weight > 0 ? 0.5 * (this.id + this.idLast) : this.id;
    this.iqMean = this.weight > 0 ? 0.5 * (this.iq + this.iqLast) : this.iq;
    this.average();
    this.idLast = this.id;
    this.iqLast = this.iq;
  }

  private average(): void {
    const { map, mean, last } = this;
    const half = this.weight > 0 ? 0.5 : 0;
    mean.x = map.x + half * (last.x - map.x);
    mean.q = map.q + half * (last.q - map.q);
    mean.gdd = map.gdd + half * (last.gdd - map.gdd);
    mean.gqq = map.gqq + half * (last.gqq - map.gqq);
    last.x = map.x;
    last.q = map.q;
    last.gdd = map.gdd;
    last.gqq = map.gqq;
  }

  /** Current into the frame of the present angle. */
  private turn(): void {
    this.c = cosine(this.tracker.theta);
    this.s = sine(this.tracker.theta);
    this.id = this.c * this.alpha + this.s * this.beta;
    this.iq = this.c * this.beta - this.s * this.alpha;
  }
}
