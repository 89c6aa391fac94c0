/**
 * Which sector to drive in the period that the next command will rule.
 *
 * Timing  a command computed at the sampling instant acts from 1 to 2 ticks later; its middle lies 1.5 ticks ahead. At
 *         20 000 rpm and 4 pole pairs that is 36 degrees electrical, so the Hall code alone commutates too late.
 * Model   angle in the sector = speed * time since its edge, not beyond the end of the sector, because the next edge has
 *         not come; plus speed * 1.5 ticks; plus an advance that grows from 30 % of full speed, since the current of
 *         the new leg needs a good part of a sector to rise.
 * Limits  no lead below LEAD_LEAST, or when the next edge is more than half a sector time late: then the rotor has
 *         been braked hard and the Hall code is all that is known.
 * Source  S. Bae and S. Sul, IEEE Trans. Industry Applications 39(3), 2003 (abstract): mean delay of 1.5 periods; the
 *         advance is common practice, from memory.
 */
import { sectorAhead } from './hall-sector.ts';
import { type HallSpeed, SECTOR_RAD } from './hall-speed.ts';
import { TICK_S } from './settings.ts';

/** Slowest electrical speed with a lead [rad/s]: 1.5 ticks are 1.3 degrees there. */
const LEAD_LEAST = 300;

/**
 * Sector to drive, 0 to 5; -1 while no valid Hall code was seen.
 *
 * @param side 1 drives towards rising angle, -1 falling
 * @param full_rad_s full electrical speed @param advance_rad advance at full speed
 */
export function driveSector(hall: HallSpeed, side: number, full_rad_s: number, advance_rad: number): number {
  const w = hall.mean_rad_s;
  const late = hall.since_s * w > 1.5 * SECTOR_RAD;
  if (hall.sector < 0 || w < LEAD_LEAST || late) return hall.sector;
  // A rotor that is thrown back is led too, but its current has no EMF to be ahead of.
  const share = hall.sense === side ? Math.max(0, Math.min(1, (w / full_rad_s - 0.3) / 0.7)) : 0;
  const angle = Math.min(w * hall.since_s, SECTOR_RAD) + 1.5 * TICK_S * w + share * advance_rad;
  const ahead = Math.min(2, Math.floor(angle / SECTOR_RAD));
  return sectorAhead(hall.sector, hall.sense * ahead);
}
