/**
 * Catching a rotor that turns, on the plant: real bridge with dead time and diodes, friction, samples with noise.
 *
 * Source  current of a short by the arc a = w n T of the magnet: id = lambda (cos a - 1) / Ld, iq = -lambda sin a / Lq, for R n T much
 *         below L: derived. Tip of 35 A at full speed: computed. Limits of the errors: found by trial on a simplified model; where a
 *         test says so, from the noise: 0.13 A over the tip, the speed by two such angles over the time between.
 */
import { describe, expect, it } from 'vitest';
import { STANDS, TURNS } from '../../../src/control/sensorless/spin-check.ts';
import { expectNear } from '../../support/near.ts';
import { DEGREE, FULL_RAD_S, NOISE_A, PLAIN, SATURATED, TICK_S } from './motor-d.ts';
import { type SpinAnswer, spin } from './spin-rig.ts';

const ANGLES = Array.from({ length: 24 }, (_, k) => k * 15 * DEGREE);

function all(share: number, noise_A: number): SpinAnswer[] {
  return ANGLES.map((theta, k) => spin(PLAIN, share * FULL_RAD_S, theta, noise_A, k + 1));
}

function rms(values: number[]): number {
  return Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
}

/** Tip of a short of n periods from no current [A]. */
function tip_A(w: number, n: number): number {
  const a = w * n * TICK_S;
  const { lambda_Wb, ld_H, lq_H } = PLAIN;
  return Math.hypot((lambda_Wb * (Math.cos(a) - 1)) / ld_H, (lambda_Wb * Math.sin(a)) / lq_H);
}

describe('a rotor that turns', () => {
  it.each([
    [1, 1, 40],
    [0.5, 1.9, 207],
    [0.2, 1.9, 207],
    [0.1, 2, 141],
    [0.05, 2.3, 110],
    [-1, 1, 40],
    [-0.2, 1.9, 207],
    [-0.05, 2.3, 110],
  ])('at %f of full speed is found to %f degrees and %f rad/s, rms over angle and noise', (share, deg, rad_s) => {
    const found = all(share, NOISE_A);
    for (const { result } of found) expect(result).toBe(TURNS);
    // Found by trial; at one half the trial of 20 % with one period stands in.
    expect(rms(found.map((f) => f.offTheta)) / DEGREE).toBeLessThan(deg);
    expect(rms(found.map((f) => f.offW))).toBeLessThan(rad_s);
  });

  it.each([
    [1, 1, 4],
    [0.1, 4, 8],
    [0.05, 4, 8],
  ])('at %f of full speed errs by what the noise makes of its tip', (share, n, between) => {
    const w = share * FULL_RAD_S;
    const found = all(share, NOISE_A);
    const perTip = NOISE_A / tip_A(w, n);
    const mean = found.reduce((sum, f) => sum + f.offW / found.length, 0);
    const spread = rms(found.map((f) => f.offW - mean));
    expectNear(spread / ((Math.SQRT2 * perTip) / (between * TICK_S)), 1, {
      abs: 0.45,
      because: 'spread of 24 values: 15 %, three deviations',
    });
  });

  it('makes the tip of the exact arc: 35 A at full speed', () => {
    expectNear(tip_A(FULL_RAD_S, 1), 35, { abs: 0.6, because: 'two digits' });
    for (const [share, n] of [
      [1, 1],
      [0.5, 1],
      [0.1, 4],
    ]) {
      const { peak_A } = spin(PLAIN, share * FULL_RAD_S, 0.7, 0, 1);
      const tip = tip_A(share * FULL_RAD_S, n);
      const why = 'R n T / 2 L = 2 % a period with the switches; dead time waits 1 % of it';
      expectNear(peak_A / tip, 1, { abs: 0.02 + 0.02 * n, because: why });
    }
  });

  it.each([1, 0.5, 0.2, 0.1, 0.05, -1])('at %f of full speed is off by little without noise', (share) => {
    for (const theta of [0, 0.9, 2.5]) {
      const { offTheta, offW } = spin(PLAIN, share * FULL_RAD_S, theta, 0, 1);
      const why = 'R n T / L of the arc: up to 15 % of 18 degrees in the angle of the current, a third of that is left';
      expectNear(offTheta / DEGREE, 0, { abs: 1, because: why });
      expectNear(offW / FULL_RAD_S, 0, { abs: 4e-3, because: 'speed lost between: the mean of it, and resistance' });
    }
  });

  it.each([1, 0.2, -1])('of a saturated motor at %f of full speed is off by no more than 2 degrees', (share) => {
    const { satD2, satD3, satQ3, satCross } = SATURATED;
    const winding = { satD2, satD3, satQ3, satCross };
    for (const theta of [0, 0.9, 2.5]) {
      const { offTheta, offW } = spin(PLAIN, share * FULL_RAD_S, theta, 0, 1, { winding });
      const why =
        'd current against the magnet, 5 % of saturation at most, which turns the vector by less than 2 degrees';
      expectNear(offTheta / DEGREE, 0, { abs: 2, because: why });
      expectNear(offW / FULL_RAD_S, 0, { abs: 4e-3, because: 'the same error in both tips' });
    }
  });

  it('loses less than 1 % of full speed, and less than 5 % of a twentieth of it', () => {
    expect(spin(PLAIN, FULL_RAD_S, 0.3, 0, 1).w / FULL_RAD_S).toBeGreaterThan(0.99);
    // 3 % by trial without friction; that of the bench drill takes 1.4 % in a millisecond.
    expect(spin(PLAIN, 0.05 * FULL_RAD_S, 0.3, 0, 1).w / (0.05 * FULL_RAD_S)).toBeGreaterThan(0.95);
  });
});

describe('a rotor that hardly turns', () => {
  it.each([0, 0.01, 0.02, -0.02, 0.03])('at %f of full speed stands when it says so', (share) => {
    for (const { result, w, offW, offTheta } of all(share, NOISE_A)) {
      if (result === STANDS) {
        // 0.3 % of full speed turns by 5 degrees while the start pulses last.
        expectNear(w / FULL_RAD_S, 0, {
          abs: 4e-3,
          because: 'a short of 5 ms: five time constants of 1 ms, and a swing back',
        });
      } else {
        expect(share).toBe(0.03);
        expectNear(offW / FULL_RAD_S, 0, {
          abs: 0.03,
          because: 'a tip just above 4 A: 110 rad/s rms, two deviations and more',
        });
        expectNear(offTheta / DEGREE, 0, {
          abs: 10,
          because: 'a tip just above 4 A: 2.3 degrees rms, four deviations',
        });
      }
    }
  });

  it('that stands is left alone but for the zero vectors, and known within 6.2 ms', () => {
    const { result, peak_A, ticks } = spin(PLAIN, 0, 1, NOISE_A, 3);
    expect(result).toBe(STANDS);
    expectNear(peak_A, 0, { abs: 1e-6, because: 'no EMF drives a current' });
    expectNear(ticks * TICK_S, 6.15e-3, {
      abs: 1e-9,
      because: 'one short check, one long one, 5 ms of braking: counted',
    });
  });
});
