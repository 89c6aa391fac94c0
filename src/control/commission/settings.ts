/** What the commissioning firmware is told: what stands on the label of the motor, and how much it may use. */
import { requireRange } from '../../units/checks.ts';
import { BOARD } from '../settings.ts';

export interface CommissionSettings {
  /** Pole pairs, from the label of the motor. */ readonly polePairs: number;
  /** Largest phase current [A], peak. */ readonly most_A: number;
}

/** Current at the end of the converter [A]. */
const RANGE_A = 0.5 * BOARD.range_counts * BOARD.currentPerCount_A;
/** Half the range leaves room for what a measurement overshoots. */
const USUAL_SHARE = 0.55;

/** Completes and checks settings. Throws RangeError naming the item, its value and what is allowed. */
export function commissionSettings(given: Partial<CommissionSettings> = {}): CommissionSettings {
  const s = { polePairs: 4, most_A: USUAL_SHARE * RANGE_A, ...given };
  requireRange('commission.polePairs', s.polePairs, 1, 20, '');
  // A current that rises by half of this between two samples must still be seen.
  requireRange('commission.most_A', s.most_A, 5, 0.6 * RANGE_A, 'A');
  return Object.freeze(s);
}
