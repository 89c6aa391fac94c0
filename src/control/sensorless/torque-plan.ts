/**
 * From torque to currents: limit, field weakening, help for the injection, braking that does not pump the link.
 *
 * Scheme  at speed the d current of maximum torque per ampere; not while injecting, where it costs saliency. Weakening: the voltage
 *         asked for beyond its limit integrates into negative d current. Below the hand-over a positive d current saturates the
 *         d axis, which restores the saliency that q current takes away; none where the map keeps enough.
 *         Braking: as much q current as half of what the copper turns into heat, plus what may flow back while the link is below
 *         its mark; above it the motor takes from the link.
 * Source  Jahns, Kliman, Neumann, "Interior permanent-magnet synchronous motors for adjustable-speed drives", IEEE Trans. Ind.
 *         Appl. IA-22(4), 1986; Kim, Sul, "Speed control of interior PMSM drive for the flux weakening operation", IEEE Trans.
 *         Ind. Appl. 33(1), 1997; Kwon, Lee, Sul, "Extending operational limit of IPMSM in signal-injection sensorless
 *         control", IEEE Trans. Ind. Appl. 55(2), 2019 (bibliographies read); loss braking derived here.
 */
import type { MotorFacts } from '../motor-facts.ts';
import type { MotorMap } from './motor-map.ts';
import type { SensorlessSettings } from './settings.ts';

/** Saliency of the inverse inductances that tracking needs [share of 1/Ld]. */
const GAP_LEAST = 0.12;
/** Positive d current where there is less, at 60 A of q current and more. */
const HELP_A = 25;
const HELP_FULL_A = 60;
/** Time in which the d current may go from nothing to the limit [s]: slow enough for the observer. */
const FULL_S = 0.005;
/** Largest d current against the magnet while braking, as a share of the one that takes all its flux: the rest is needed to see. */
const BURN_SHARE = 0.5;
/** Share of the mark from which on the link is near it. */
const NEAR_SHARE = 0.85;
/** Power that may flow back for each volt below the mark, and must be taken for each above it [W/V]. */
const BACK_W_V = 60;

/** Flux and slopes at the present current, ripple left out. */
export type MapState = Pick<MotorMap, 'x' | 'q' | 'gdd' | 'gqq'>;

export class TorquePlan {
  /** References [A]. */ id = 0;
  iq = 0;
  /** Current limit in force, peak [A]. */ limit_A: number;
  private readonly tick_s: number;
  private readonly facts: MotorFacts;
  private readonly set: SensorlessSettings;
  private weaken = 0;

  constructor(tick_s: number, facts: MotorFacts, settings: SensorlessSettings) {
    this.tick_s = tick_s;
    this.facts = facts;
    this.set = settings;
    this.limit_A = facts.most_A;
  }

  reset(): void {
    this.id = 0;
    this.iq = 0;
    this.weaken = 0;
  }

  /** Torque that the limit allows [N·m]. */
  get most_Nm(): number {
    const { polePairs, lambda_Wb } = this.facts;
    const i = Math.sqrt(Math.max(0, this.limit_A * this.limit_A - this.id * this.id));
    return 1.5 * polePairs * lambda_Wb * i;
  }

  /** The d current of maximum torque per ampere, for the present current [A]. */
  private mtpa_A(): number {
    const { ld_H, lq_H, lambda_Wb } = this.facts;
    const gap = lq_H - ld_H;
    if (gap <= 0) return 0;
    const size2 = this.id * this.id + this.iq * this.iq;
    return (lambda_Wb - Math.sqrt(lambda_Wb * lambda_Wb + 8 * gap * gap * size2)) / (4 * gap);
  }

  /** Torque that currents make, by the map [N·m]. */
  torque_Nm(map: MapState, id_A: number, iq_A: number): number {
    const { polePairs, lambda_Wb } = this.facts;
    return 1.5 * polePairs * ((lambda_Wb + map.x) * iq_A - map.q * id_A);
  }

  /**
   * One tick.
   *
   * @param torque_Nm wish  @param w_rad_s electrical speed  @param map at the present current  @param injecting
   * @param asked_V, most_V length of the voltage before its limit, and the limit  @param link_V, mark_V link and what it must not pass
   */
  step(
    torque_Nm: number,
    w_rad_s: number,
    map: MapState,
    injecting: boolean,
    asked_V: number,
    most_V: number,
    link_V: number,
    mark_V: number,
  ): void {
    const { tick_s: t, facts, set } = this;
    const { lambda_Wb, polePairs, r_ohm, ld_H } = facts;
    this.weaken += t * set.weaken_A_Vs * (most_V - asked_V);
    this.weaken = Math.max((-0.9 * lambda_Wb) / ld_H, Math.min(0, this.weaken));
    const size = this.iq < 0 ? -this.iq : this.iq;
    const weak = map.gdd - map.gqq < GAP_LEAST * (1 / ld_H);
    const help = injecting && weak ? HELP_A * Math.min(1, size / HELP_FULL_A) : 0;
    const least = injecting ? 0 : set.mtpaShare * this.mtpa_A();
    let id = Math.max(-this.limit_A, this.weaken + help + least);
    // Cross-saturation takes some of the magnet's flux, saliency gives some back; a torque that is asked for and not made would
    // be a lag of the speed.
    const made = lambda_Wb + map.x - facts.lq_H * this.id;
    const flux = Math.max(0.7 * lambda_Wb, Math.min(1.3 * lambda_Wb, made));
    let iq = torque_Nm / (1.5 * polePairs * flux);
    const most = Math.sqrt(Math.max(0, this.limit_A * this.limit_A - this.id * this.id));
    const speed = w_rad_s < 0 ? -w_rad_s : w_rad_s;
    if (iq * w_rad_s < 0 && speed * lambda_Wb > r_ohm * this.limit_A) {
      // An error of the angle turns d current into q current: the link itself closes the loop, both ways.
      const burn_W = 0.75 * r_ohm * this.id * this.id + BACK_W_V * (mark_V - link_V);
      const brake = Math.min(most, burn_W / (1.5 * speed * lambda_Wb));
      iq = w_rad_s > 0 ? Math.max(-brake, iq) : Math.min(brake, iq);
      // As the link nears its mark, the rest of the limit makes heat along d; below, that would only drain it.
      const near = Math.max(0, Math.min(1, (link_V / mark_V - NEAR_SHARE) / (1 - NEAR_SHARE)));
      const rest = Math.sqrt(Math.max(0, this.limit_A * this.limit_A - iq * iq));
      id = Math.min(id, -near * Math.min(rest, (BURN_SHARE * lambda_Wb) / ld_H));
    } else iq = Math.max(-most, Math.min(most, iq));
    const way = (t / FULL_S) * facts.most_A;
    this.id += Math.max(-way, Math.min(way, id - this.id));
    this.iq = iq;
  }
}
