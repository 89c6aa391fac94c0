/**
 * What a sensorless controller has to know of its motor. The numbers come from a commissioning run on the motor itself
 * (commission/), by frames alone; pole pairs stand on its label.
 *
 * Map     id = x/Ld + a x^2 + b x^3 + c q^2, iq = q/Lq + d q^3 + 2 c x q, with x = psi_d - lambda, q = psi_q: one field energy for
 *         both, so that a current and a flux belong together whatever the load.
 * Source  Jebai, Malrait, Martin, Rouchon, "Sensorless position estimation of permanent-magnet synchronous motors using a
 *         saturation model", arXiv 1207.5743 (abstract read, layout of terms from memory).
 */
import { requirePositive, requireRange } from '../units/checks.ts';

export interface MotorFacts {
  readonly polePairs: number;
  /** A phase with switch and shunt, at the temperature of the commissioning [ohm]. */ readonly r_ohm: number;
  /** Mean pole voltage that dead time costs, as a share of the link. */ readonly deadShare: number;
  /** Incremental inductances at no current [H]. */ readonly ld_H: number;
  readonly lq_H: number;
  /** Terms of the map: d axis square and cube, q axis cube, cross term [A/Wb^2, A/Wb^3]. */ readonly satD2: number;
  readonly satD3: number;
  readonly satQ3: number;
  readonly satCross: number;
  /** Flux of the magnet through a phase, peak [Wb]. */ readonly lambda_Wb: number;
  /** Rotor, gearbox on the motor side [kg m^2]. */ readonly inertia_kgm2: number;
  /** What the link loses per ampere within a period, behind its capacitor; 0 when left out [ohm]. */ readonly link_ohm?: number;
  /** Phase current that the board and the motor may carry, peak [A]. */ readonly most_A: number;
}

/** Checks and freezes. Throws RangeError naming the item, its value and what is allowed. */
export function motorFacts(f: MotorFacts): MotorFacts {
  requireRange('motor.polePairs', f.polePairs, 1, 20, '');
  requireRange('motor.r_ohm', f.r_ohm, 1e-3, 2, 'ohm');
  requireRange('motor.deadShare', f.deadShare, 0, 0.1, '');
  requirePositive('motor.ld_H', f.ld_H, 'H');
  requireRange('motor.lq_H', f.lq_H, 0.8 * f.ld_H, 3 * f.ld_H, 'H');
  requirePositive('motor.lambda_Wb', f.lambda_Wb, 'Wb');
  requirePositive('motor.inertia_kgm2', f.inertia_kgm2, 'kg m^2');
  requireRange('motor.link_ohm', f.link_ohm ?? 0, 0, 0.5, 'ohm');
  requirePositive('motor.most_A', f.most_A, 'A');
  return Object.freeze({ ...f });
}
