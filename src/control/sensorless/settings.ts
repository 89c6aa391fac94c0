/** Gains and limits of the sensorless controller; where they come from stands beside each. */
import type { MotorFacts } from '../motor-facts.ts';

export interface SensorlessSettings {
  /** Injected voltage [V]. */ readonly inject_V: number;
  /** Bandwidth of the tracker, injecting and by the flux [rad/s]. */ readonly bandLow_rad_s: number;
  readonly bandHigh_rad_s: number;
  /** Damping of the flux observer: at standstill [rad/s], and per speed. */ readonly sigma0_rad_s: number;
  readonly zeta: number;
  /** Pull of the observer to the injected angle [rad/s]. */ readonly lead_rad_s: number;
  /** Electrical speed above which the flux leads, and below which injection does again [rad/s]. */
  readonly fluxAbove_rad_s: number;
  readonly injectBelow_rad_s: number;
  /** Speed below which the voltage is injected already, without weight yet [rad/s]. */ readonly injectFrom_rad_s: number;
  /** Time of the hand-over [s]. */ readonly handOver_s: number;
  /** Gain of the current loop, usual and while injecting. */ readonly gain: number;
  readonly gainInjecting: number;
  /** Speed loop: proportional [1/s of the inertia] and load estimate [rad/s]. */ readonly speedBand_rad_s: number;
  readonly loadBand_rad_s: number;
  /** Ramp of the speed reference [rad/s^2], and how far it may lead [rad/s]. */ readonly ramp_rad_s2: number;
  readonly rampLead_rad_s: number;
  /** Field weakening [A/(V s)], and the share of the linear voltage that is used. */ readonly weaken_A_Vs: number;
  readonly voltageShare: number;
  /** Share of the d current of maximum torque per ampere that is used. */ readonly mtpaShare: number;
  /** Electrical speed of the nominal voltage, by which low and high are told [rad/s]. */ readonly top_rad_s: number;
}

const TAU = 2 * Math.PI;

/**
 * Gains for a motor on a link of the given nominal voltage. Bandwidths: least error of the angle when a stall is let go at full
 * current and rotor inertia alone is left, 120 to 150 Hz; they were tried on a simplified model and hold for motors whose
 * full torque turns the rotor up in some 15 ms.
 */
export function settingsFor(facts: MotorFacts, nominal_V: number): SensorlessSettings {
  const top = (0.95 * nominal_V) / Math.sqrt(3) / facts.lambda_Wb;
  return Object.freeze({
    inject_V: Math.min(3, 0.17 * nominal_V),
    bandLow_rad_s: TAU * 120,
    bandHigh_rad_s: TAU * 150,
    sigma0_rad_s: TAU * 15,
    zeta: 0.3,
    lead_rad_s: TAU * 60,
    fluxAbove_rad_s: 0.1 * top,
    injectBelow_rad_s: 0.06 * top,
    injectFrom_rad_s: 0.2 * top,
    handOver_s: 0.004,
    gain: 0.16,
    gainInjecting: 0.1,
    speedBand_rad_s: TAU * 15,
    loadBand_rad_s: TAU * 20,
    ramp_rad_s2: top / 0.12,
    rampLead_rad_s: 0.2 * top,
    weaken_A_Vs: 1000,
    voltageShare: 0.95,
    mtpaShare: 1,
    top_rad_s: top,
  });
}
