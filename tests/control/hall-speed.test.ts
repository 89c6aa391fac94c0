/**
 * Source  kinematics: a rotor at w crosses a Hall edge every (pi/3)/w. Edge times are made in closed form, so the
 *         estimate has one error only, the 10 ns count of the capture unit.
 */
import { describe, expect, it } from 'vitest';
import { HallSpeed, SECTOR_RAD, STILL_S } from '../../src/control/hall-speed.ts';
import { expectNear } from '../support/near.ts';
import { hallCode, TICK_S } from './frame-rig.ts';

const COUNT_S = 10e-9;

/** Turns a rotor at a constant electrical speed for some ticks, after a start at `angle_rad`. */
function turn(hall: HallSpeed, w: number, angle_rad: number, ticks: number): number {
  let angle = angle_rad;
  for (let k = 0; k < ticks; k++) {
    angle += w * TICK_S;
    const inSector = (((angle + SECTOR_RAD / 2) % SECTOR_RAD) + SECTOR_RAD) % SECTOR_RAD;
    const age_s = (w > 0 ? inSector : SECTOR_RAD - inSector) / Math.abs(w);
    hall.update(hallCode(angle), Math.min(Math.floor(age_s / COUNT_S), 0xffff) * COUNT_S, TICK_S);
  }
  return angle;
}

describe('speed from Hall edges', () => {
  for (const w of [60, 463, 2000, 8800, 9215, -150, -5000, -9215]) {
    it(`finds ${w} rad/s electrical to the resolution of the capture unit`, () => {
      const hall = new HallSpeed();
      const interval_s = SECTOR_RAD / Math.abs(w);
      // Ends right after an edge, so that no decay has begun: whole sectors plus less than a tick.
      let angle = turn(hall, w, 0.2, Math.ceil((14 * interval_s) / TICK_S));
      for (let k = 0; k < 1000 && hall.since_s > TICK_S; k++) angle = turn(hall, w, angle, 1);
      // Two edge times of the window are off by up to one count; the window holds n sectors.
      const n = Math.max(1, Math.min(6, Math.floor(4e-3 / interval_s)));
      const abs = (Math.abs(w) * 2 * COUNT_S) / (n * interval_s);
      expectNear(hall.speed_rad_s, w, { abs, because: 'one 10 ns count at each end of the averaged window' });
    });
  }

  it('resolves a speed at which an edge comes every 2.3 ticks', () => {
    // Without capture times a sector would read 2 or 3 ticks: 10472 or 6981 rad/s.
    const hall = new HallSpeed();
    turn(hall, 9215, 0, 400);
    expectNear(hall.mean_rad_s, 9215, {
      abs: 1,
      because: '1e-4 is one count in a sector of 114 us; half of that here',
    });
  });

  it('is zero until two edges in the same sense were seen', () => {
    const hall = new HallSpeed();
    let angle = 0;
    const speeds: number[] = [];
    for (let k = 0; k < 25; k++) {
      angle = turn(hall, 2000, angle, 1); // edges after 262 us, 785 us: ticks 6 and 16
      speeds.push(hall.speed_rad_s);
    }
    expect(speeds.slice(0, 15)).toEqual(Array(15).fill(0));
    expect(speeds[16]).toBeGreaterThan(1990);
  });

  it('falls as one sector over the time since the last edge, and to zero after 0.1 s', () => {
    const hall = new HallSpeed();
    const angle = turn(hall, 2000, 0, 200);
    const code = hallCode(angle);
    while (hall.since_s < 0.02) hall.update(code, 0, TICK_S);
    expectNear(hall.speed_rad_s, SECTOR_RAD / hall.since_s, { abs: 1e-9, because: 'the stated bound, exactly' });
    for (let k = 0; k < STILL_S / TICK_S; k++) hall.update(code, 0, TICK_S);
    expect(hall.speed_rad_s).toBe(0);
  });

  it('takes no interval from a rotor that rocks over one edge', () => {
    const hall = new HallSpeed();
    turn(hall, 2000, 0, 200);
    for (let k = 0; k < 40; k++) hall.update(k % 4 < 2 ? 1 : 3, 10e-6, TICK_S);
    expect(hall.speed_rad_s).toBe(0);
  });

  it('keeps the sector for one tick when a code is no neighbor, then follows it and says so', () => {
    const hall = new HallSpeed();
    hall.update(1, 1, TICK_S); // sector 0
    hall.update(6, 1, TICK_S); // sector 3, opposite
    expect(hall.sector).toBe(0);
    hall.update(1, 1, TICK_S); // it was a spike
    expect([hall.sector, hall.doubtful]).toEqual([0, 0]);
    hall.update(6, 1, TICK_S);
    hall.update(6, 1, TICK_S);
    expect([hall.sector, hall.doubtful, hall.speed_rad_s]).toEqual([3, 1, 0]);
    hall.update(4, 1, TICK_S); // sector 4: a regular edge
    expect([hall.sector, hall.doubtful]).toEqual([4, 0]);
  });

  it('counts ticks that never came as time', () => {
    const hall = new HallSpeed();
    const angle = turn(hall, 500, 0, 400);
    const before_s = hall.since_s;
    hall.update(hallCode(angle), 0, 3 * TICK_S);
    expectNear(hall.since_s - before_s, 3 * TICK_S, { abs: 1e-12, because: 'a sum of two numbers' });
  });
});
