/**
 * From the numbers that a motor catalogue prints to the parameters of a winding.
 *
 * Catalogues give terminal (line-to-line) resistance and inductance, and a torque constant per ampere of a direct current
 * that flows through two phases at a time. Which convention the torque constant follows is a parameter here, because the
 * two in use differ by pi/3, 4.7 %:
 *   mean  torque averaged over the 60 degrees in which two phases carry the current: lambda = kM pi / (3 sqrt 3 p);
 *   peak  torque at the best angle: lambda = kM / (sqrt 3 p).
 */
import { requirePositive } from '../units/checks.ts';
import type { WindingParams } from './params.ts';

export interface CatalogueMotor {
  readonly terminal_ohm: number;
  readonly terminal_H: number;
  /** Torque per ampere of the terminal current [N·m/A]. */ readonly torqueConstant_Nm_A: number;
  readonly convention: 'mean' | 'peak';
  readonly polePairs: number;
}

/** Winding of a star-connected motor without saliency or saturation. Throws RangeError on a value that is not positive. */
export function windingFromCatalogue(m: CatalogueMotor): WindingParams {
  requirePositive('terminal_ohm', m.terminal_ohm, 'ohm');
  requirePositive('terminal_H', m.terminal_H, 'H');
  requirePositive('torqueConstant_Nm_A', m.torqueConstant_Nm_A, 'N·m/A');
  requirePositive('polePairs', m.polePairs, '');
  const perPeak = m.torqueConstant_Nm_A / (Math.sqrt(3) * m.polePairs);
  return {
    polePairs: m.polePairs,
    r_ohm: m.terminal_ohm / 2,
    ld_H: m.terminal_H / 2,
    lq_H: m.terminal_H / 2,
    magnet_Wb: m.convention === 'peak' ? perPeak : (perPeak * Math.PI) / 3,
    satD2: 0,
    satD3: 0,
    satCross: 0,
    satQ3: 0,
    slots: 3 * m.polePairs,
    emf5: 0,
    emf7: 0,
    cogPoles_Nm: 0,
    cogSlots_Nm: 0,
    cogBoth_Nm: 0,
    ironHysteresis_S_s: 0,
    ironEddy_S: 0,
    halls_rad: [0, (2 * Math.PI) / 3, (4 * Math.PI) / 3],
  };
}
