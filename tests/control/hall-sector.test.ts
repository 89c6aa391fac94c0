/**
 * Source  EMF of phase x at electrical speed w: e_x = -w * lambda * sin(theta - x * 120 deg), the derivative of the flux
 *         lambda * cos(theta - x * 120 deg) that the magnet links with it; torque is the sum of e_x i_x over the
 *         mechanical speed. Nothing here uses the table under test.
 */
import { describe, expect, it } from 'vitest';
import { HIGH_LEG, LOW_LEG, SECTOR_OF_CODE, sectorAhead, sectorStep } from '../../src/control/hall-sector.ts';
import { hallCode } from './frame-rig.ts';

/** EMF of phase x per speed and flux. */
const emf = (x: number, theta_rad: number): number => -Math.sin(theta_rad - (x * 2 * Math.PI) / 3);
const DEGREES = Array.from({ length: 3600 }, (_, k) => k / 10 + 0.05);

describe('sector table', () => {
  it('names the sector in which the rotor is, at every tenth of a degree', () => {
    for (const deg of DEGREES) {
      const sector = Math.floor((deg + 30) / 60) % 6;
      expect(SECTOR_OF_CODE[hallCode((deg * Math.PI) / 180)], `at ${deg} deg`).toBe(sector);
    }
  });

  it('knows that 000 and 111 are no sector', () => {
    expect(SECTOR_OF_CODE[0]).toBe(-1);
    expect(SECTOR_OF_CODE[7]).toBe(-1);
  });

  it('drives the phases of largest and smallest EMF, hence the largest torque that two legs can give', () => {
    for (const deg of DEGREES) {
      const theta = (deg * Math.PI) / 180;
      const sector = SECTOR_OF_CODE[hallCode(theta)];
      const torque = emf(HIGH_LEG[sector], theta) - emf(LOW_LEG[sector], theta);
      const all = [0, 1, 2].flatMap((h) => [0, 1, 2].map((l) => emf(h, theta) - emf(l, theta)));
      expect(torque, `at ${deg} deg`).toBe(Math.max(...all));
      // sqrt(3) cos(30 deg) = 1.5 is the least that a right pair gives, at the edges of a sector.
      expect(torque, `at ${deg} deg`).toBeGreaterThanOrEqual(1.5);
    }
  });

  it('gives negative torque in every sector when the two legs change places', () => {
    for (const deg of DEGREES) {
      const theta = (deg * Math.PI) / 180;
      const sector = SECTOR_OF_CODE[hallCode(theta)];
      expect(emf(LOW_LEG[sector], theta) - emf(HIGH_LEG[sector], theta)).toBeLessThan(-1.49);
    }
  });

  it('counts sectors around the turn', () => {
    expect(sectorStep(5, 0)).toBe(1);
    expect(sectorStep(0, 5)).toBe(-1);
    expect(sectorStep(1, 4)).toBe(3);
    expect(sectorStep(3, 3)).toBe(0);
    expect(sectorAhead(5, 2)).toBe(1);
    expect(sectorAhead(0, -1)).toBe(5);
  });
});
