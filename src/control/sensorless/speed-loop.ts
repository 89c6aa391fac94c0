/**
 * Speed to torque: proportional to the error, plus the load as it is felt. No integrator, so nothing winds up in a stall.
 *
 * Scheme  load = low-pass of (torque made - inertia * acceleration). At a stop the acceleration is nothing, so the torque climbs to
 *         its limit by itself; let go, the acceleration takes the load away at once.
 * Source  load-torque observer, textbook (from memory); Nordin, Gutman, "Controlling mechanical systems with backlash: a survey",
 *         Automatica 38(10), 2002 (bibliography read), on why the loop stays slow across free play.
 */
import type { MotorFacts } from '../motor-facts.ts';
import type { SensorlessSettings } from './settings.ts';

export class SpeedLoop {
  /** Torque asked for [N·m]. */ torque_Nm = 0;
  /** Load as it is felt [N·m]. */ load_Nm = 0;
  /** Reference after the ramp, electrical [rad/s]. */ reference = 0;
  private readonly tick_s: number;
  private readonly facts: MotorFacts;
  private readonly set: SensorlessSettings;

  constructor(tick_s: number, facts: MotorFacts, settings: SensorlessSettings) {
    this.tick_s = tick_s;
    this.facts = facts;
    this.set = settings;
  }

  /** Starts at the speed that is there. */
  reset(w_rad_s: number): void {
    this.reference = w_rad_s;
    this.load_Nm = 0;
    this.torque_Nm = 0;
  }

  /**
   * One tick.
   *
   * @param target_rad_s speed wanted, electrical  @param w_rad_s, accel_rad_s2 as tracked  @param made_Nm torque of the measured
   * current  @param most_Nm limit, both ways
   */
  step(target_rad_s: number, w_rad_s: number, accel_rad_s2: number, made_Nm: number, most_Nm: number): void {
    const { tick_s: t, facts, set } = this;
    const way = set.ramp_rad_s2 * t;
    const gap = target_rad_s - this.reference;
    this.reference += Math.max(-way, Math.min(way, gap));
    this.reference = Math.max(w_rad_s - set.rampLead_rad_s, Math.min(w_rad_s + set.rampLead_rad_s, this.reference));
    const felt = made_Nm - (facts.inertia_kgm2 * accel_rad_s2) / facts.polePairs;
    this.load_Nm += t * set.loadBand_rad_s * (felt - this.load_Nm);
    const kp = (facts.inertia_kgm2 * set.speedBand_rad_s) / facts.polePairs;
    const wish = kp * (this.reference - w_rad_s) + this.load_Nm;
    this.torque_Nm = Math.max(-most_Nm, Math.min(most_Nm, wish));
  }
}
