/**
 * Three-phase winding with a floating star point: flux linkage in the stator frame is the state. The steps are made in
 * kernel.ts; this is the field that they integrate.
 *
 * Model   d psi/dt = v - R i in alpha-beta; the current follows from the field energy, i = dH/dx in the rotor frame, with
 *         x = psi_d - lambda_d(theta) and q = psi_q - lambda_q(theta), the flux that is not the magnet's:
 *         id = x/Ld + a x^2 + b x^3 + c q^2, iq = q/Lq + d q^3 + 2 c x q.
 *         One function H for both, so d id/d q = d iq/d x: no current map can create energy. The odd term a tells
 *         north from south.
 *         Fifth and seventh harmonic of the magnet flux of a phase make a sixth in the rotor frame:
 *         lambda_d = lambda (1 + (h5 + h7) cos 6 theta), lambda_q = lambda (h7 - h5) sin 6 theta. Orders that are multiples
 *         of three shift the star point and drive no current.
 *         Cogging is the slope of an energy: orders 2p and Q (tolerances) and lcm(Q, 2p) of the mechanical angle.
 * Scheme  discrete gradient. The mean current of a step is the mean of dH/dx along the straight line between the two
 *         rotor-frame fluxes (two Gauss points: exact for this H), the torque is the matching angle part. Then
 *         1.5 i (psi1 - psi0) - T (theta1 - theta0) is the change of the field energy to the last bit, whatever the step.
 *         Order 2, symmetric.
 * Frame   amplitude-invariant Clarke and Park, d on magnet north, q leads it by 90 degrees. Positive current flows into
 *         the motor. T = 1.5 p (psi_d iq - psi_q id) and the part of the harmonics.
 * Source  map: Jebai, Malrait, Martin, Rouchon, "Sensorless position estimation of permanent-magnet synchronous motors
 *         using a saturation model", arXiv 1207.5743 (the abstract was read, the layout of terms is from memory).
 *         scheme: Gonzalez, "Time integration and discrete Hamiltonian systems", J. Nonlinear Science 6, 1996
 *         (from memory); the angle part is derived in DEVELOPERS.md. Cogging order: Bianchi, Bolognani, IEEE Trans. Ind.
 *         Appl. 38(5), 2002 (rule from memory); low orders in real motors: measured spectrum read on
 *         th4.ilovetranslation.com/bqxoAyAM2tL.
 */
import type { WindingParams } from './params.ts';

/** Winding parameters with what a step needs of them; made once. */
export interface WindingMap extends WindingParams {
  /** Inverse inductances at zero current [1/H]. */ readonly gd: number;
  readonly gq: number;
  /** Sixth harmonic of the magnet flux in the rotor frame, as shares of the first. */ readonly harmonicD: number;
  readonly harmonicQ: number;
  /** lcm(Q, 2p) over 6 p. */ readonly bothOver6: number;
  /** Square of lcm(Q, 2p) / p, over 6. */ readonly both2: number;
}

function greatestDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestDivisor(b, a % b);
}

/** Adds what a step needs. Throws RangeError when slots and poles make no balanced three-phase winding. */
export function windingMap(p: WindingParams): WindingMap {
  const poles = 2 * p.polePairs;
  const both = (p.slots * poles) / greatestDivisor(p.slots, poles);
  const order = both / p.polePairs;
  if (p.slots % 3 !== 0 || order % 6 !== 0) {
    throw new RangeError(
      `winding.slots is ${p.slots} with ${p.polePairs} pole pairs; allowed is a multiple of 3 that makes a balanced winding`,
    );
  }
  return Object.freeze({
    ...p,
    gd: 1 / p.ld_H,
    gq: 1 / p.lq_H,
    harmonicD: p.emf5 + p.emf7,
    harmonicQ: p.emf7 - p.emf5,
    bothOver6: order / 6,
    both2: (order * order) / 6,
  });
}

/** Direct-axis current [A] at rotor-frame flux x, q [Wb], magnet excluded. */
export function currentD(p: WindingMap, x: number, q: number): number {
  return x * (p.gd + x * (p.satD2 + p.satD3 * x)) + p.satCross * q * q;
}

/** Quadrature-axis current [A] at rotor-frame flux x, q [Wb]. */
export function currentQ(p: WindingMap, x: number, q: number): number {
  return q * (p.gq + p.satQ3 * q * q + 2 * p.satCross * x);
}

/** Field energy [J], zero at zero current. */
export function fieldEnergy(p: WindingMap, x: number, q: number): number {
  const { satD2: a, satD3: b, satCross: c, satQ3: d } = p;
  const h = 0.5 * (p.gd * x * x + p.gq * q * q) + x * x * x * (a / 3 + (b / 4) * x);
  return 1.5 * (h + c * x * q * q + (d / 4) * q * q * q * q);
}

/** Sixth harmonic: cosine and sine of six times the angle, by doubling and addition. */
export function cosineSix(c: number, s: number): number {
  const c2 = 2 * c * c - 1;
  const c3 = c2 * c - 2 * s * c * s;
  return 2 * c3 * c3 - 1;
}

export function sineSix(c: number, s: number): number {
  const c2 = 2 * c * c - 1;
  const s2 = 2 * s * c;
  return 2 * (s2 * c + c2 * s) * (c2 * c - s2 * s);
}

/** Magnet flux in the rotor frame [Wb] at the angle of cosine c and sine s. */
export function magnetD_Wb(p: WindingMap, magnet_Wb: number, c: number, s: number): number {
  return magnet_Wb * (1 + p.harmonicD * cosineSix(c, s));
}

export function magnetQ_Wb(p: WindingMap, magnet_Wb: number, c: number, s: number): number {
  return magnet_Wb * p.harmonicQ * sineSix(c, s);
}

/** Energy of cogging [J]; its slope over the mechanical angle is minus the torque. */
export function coggingEnergy(p: WindingMap, c: number, s: number, slotCos: number): number {
  const c6 = cosineSix(c, s);
  const s6 = sineSix(c, s);
  let cn = c6;
  let sn = s6;
  for (let n = 1; n < p.bothOver6; n++) {
    const t = sn * c6 + cn * s6;
    cn = cn * c6 - sn * s6;
    sn = t;
  }
  const { polePairs: pp, slots } = p;
  const both = (p.cogBoth_Nm * cn) / (6 * p.bothOver6 * pp);
  return -(p.cogPoles_Nm * (2 * c * c - 1)) / (2 * pp) - (p.cogSlots_Nm * slotCos) / slots - both;
}
