/**
 * The firmware's map of flux and current, against the winding of the engine, which has a map of its own.
 *
 * Source  map: Jebai, Malrait, Martin, Rouchon, arXiv 1207.5743 (abstract read, layout of terms from memory). Saliency at 80 A for
 *         three depths of q saturation: computed from the map.
 */
import { describe, expect, it } from 'vitest';
import { type MotorFacts, motorFacts } from '../../../src/control/motor-facts.ts';
import { MotorMap } from '../../../src/control/sensorless/motor-map.ts';
import { currentD, currentQ, windingMap } from '../../../src/plant/winding.ts';
import { expectNear } from '../../support/near.ts';
import { DEGREE, PLAIN, SATURATED, windingOf } from './motor-d.ts';

/** The map at a current, settled: as many ticks as Newton needs from nothing. */
function settled(facts: MotorFacts, id_A: number, iq_A: number): MotorMap {
  const map = new MotorMap(facts);
  for (let n = 0; n < 6; n++) map.solve(id_A, iq_A);
  return map;
}

const CURRENTS = [-80, -45, -10, 0, 10, 45, 80].flatMap((d) => [-80, -30, 0, 15, 80].map((q) => [d, q] as const));

describe('flux from current', () => {
  it.each([
    ['plain', PLAIN],
    ['saturated', SATURATED],
  ])('of a %s motor is the inverse of what the engine makes of a flux', (_, facts) => {
    const winding = windingMap(windingOf(facts));
    for (const [id_A, iq_A] of CURRENTS) {
      const map = settled(facts, id_A, iq_A);
      const why = 'Newton converges quadratically: rounding of 80 A is left, some 1e-14 of it';
      expectNear(currentD(winding, map.x, map.q), id_A, { abs: 1e-9, because: why });
      expectNear(currentQ(winding, map.x, map.q), iq_A, { abs: 1e-9, because: why });
    }
  });

  it('is linear where the motor does not saturate', () => {
    const map = settled(PLAIN, -25, 60);
    expectNear(map.x, -25 * 12e-6, { abs: 1e-18, because: 'rounding of 300 uWb' });
    expectNear(map.q, 60 * 15e-6, { abs: 1e-18, because: 'rounding of 900 uWb' });
  });

  it('keeps up with a current that moves as fast as the link can drive it', () => {
    // 18 V over 12 uH: 50 A in a period, farther than any loop moves it.
    const winding = windingMap(windingOf(SATURATED));
    const map = new MotorMap(SATURATED);
    for (let n = 1; n < 40; n++) {
      const [id_A, iq_A] = [-20 + 50 * (n % 2), 80 * Math.sin(0.6 * n)];
      map.solve(id_A, iq_A);
      // Curvature 2 (a + 3 b x) up to 6e7 A/Wb^2; 50 A over the slope at -20 A, 81 k/H, is a way of 0.62 mWb along d.
      const why = 'half the curvature times the square of the way leaves 9 A, and of 9 A over 105 k/H 0.22 A';
      expectNear(currentD(winding, map.x, map.q), id_A, { abs: 0.22, because: why });
      expectNear(currentQ(winding, map.x, map.q), iq_A, { abs: 0.22, because: why });
    }
  });
});

describe('slopes', () => {
  it('are those of the current that the engine makes of a flux', () => {
    const winding = windingMap(windingOf(SATURATED));
    const h = 1e-7;
    const why = 'central difference: third derivative 6 b h^2 / 6 = 1.3e-4, rounding of 80 A over 2e-7';
    for (const [id_A, iq_A] of CURRENTS) {
      const { x, q, gdd, gqq, gdq } = settled(SATURATED, id_A, iq_A);
      const dd = (currentD(winding, x + h, q) - currentD(winding, x - h, q)) / (2 * h);
      const qq = (currentQ(winding, x, q + h) - currentQ(winding, x, q - h)) / (2 * h);
      const dq = (currentD(winding, x, q + h) - currentD(winding, x, q - h)) / (2 * h);
      const qd = (currentQ(winding, x + h, q) - currentQ(winding, x - h, q)) / (2 * h);
      expectNear(gdd, dd, { abs: 1e-3, because: why });
      expectNear(gqq, qq, { abs: 1e-3, because: why });
      expectNear(gdq, dq, { abs: 1e-3, because: why });
      expectNear(gdq, qd, { abs: 1e-3, because: why });
    }
  });

  it.each([
    ['5 %', 8.4e8, 12.6, 0.07],
    ['15 %', 3.1e9, 4.4, 0.25],
    ['30 %', 8.6e9, -12.4, 0.22],
  ])('lose saliency to q current: Lq lower by %s at 80 A', (_, satQ3, gap_k, abs) => {
    const map = settled(motorFacts({ ...SATURATED, satQ3 }), 0, 80);
    const why = 'satQ3 has two digits: half of the last one moves the gap by 0.02, 0.2 and 0.17; one printed decimal';
    expectNear((map.gdd - map.gqq) / 1000, gap_k, { abs, because: why });
  });

  it('turn the axis of saliency by 10.3 degrees at 80 A', () => {
    const map = settled(SATURATED, 0, 80);
    const axis = 0.5 * Math.atan2(2 * map.gdq, map.gdd - map.gqq);
    expectNear(axis / DEGREE, 10.3, { abs: 0.05, because: 'one printed decimal' });
  });

  it('tell d from -d: saturation with the magnet, none against it', () => {
    expectNear(1 / settled(SATURATED, 60, 0).gdd / 12e-6, 0.7, {
      abs: 0.01,
      because: 'satD2 and satD3 were chosen for 30 % to two digits',
    });
    expectNear(1 / settled(SATURATED, -60, 0).gdd / 12e-6, 1.05, {
      abs: 0.01,
      because: 'satD2 and satD3 were chosen for 5 % to two digits',
    });
  });
});

describe('a map that turns over', () => {
  // Without the cube the current along d is never below -1 / (4 a Ld^2) = -99 A.
  const facts = motorFacts({ ...PLAIN, satD2: 1.76e7 });

  it('stays finite where no flux belongs to the current, and finds back', () => {
    const map = new MotorMap(facts);
    for (let n = 0; n < 100; n++) map.solve(-150, 0);
    for (const v of [map.x, map.q, map.gdd, map.gqq, map.gdq]) expect(Number.isFinite(v)).toBe(true);
    for (let n = 0; n < 20; n++) map.solve(-40, 20);
    const winding = windingMap(windingOf(facts));
    expectNear(currentD(winding, map.x, map.q), -40, { abs: 1e-9, because: 'Newton has converged' });
    expectNear(currentQ(winding, map.x, map.q), 20, { abs: 1e-9, because: 'Newton has converged' });
  });
});
