/**
 * EMF of a machine whose phases are to follow a trapezoid with 120 degrees of flat top.
 *
 * Source  Pillay, Krishnan, "Modeling, simulation, and analysis of permanent-magnet motor drives, part II: the brushless DC
 *         motor drive", IEEE Trans. Ind. Appl. 25(2), 1989 (from memory) for the shape; b_n = 24/(pi^2 n^2) sin(n pi/6) for
 *         its harmonics, derived by hand, printed below to six decimals.
 *
 * The plant knows the fundamental, the fifth and the seventh of the magnet flux. An EMF is the slope of a flux, so an order
 * n of the flux comes out n times as large: a share b_n / b_1 in the EMF is a share b_n / (n b_1) in the flux. Orders that
 * are multiples of three have the same phase in all three windings, since three times 120 degrees is a whole turn; between
 * two terminals they cancel. So does any voltage of the star point, which is all that a floating star can see of them.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { circuit, spinning } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, TINY } from '../support/rigs.ts';

/** Peak 1, rising through 0 at 0, flat from 30 to 150 degrees. */
function trapezoid(angle_rad: number): number {
  const turns = angle_rad / (2 * Math.PI) - 0.25;
  const fromTop = Math.abs(turns - Math.round(turns)) * 360;
  return Math.max(-1, Math.min(1, (90 - fromTop) / 30));
}

/** Amplitude of sin(order angle) in a list of samples over one turn, sample k at angle (k + offset) of them. */
function sineOf(samples: readonly number[], order: number, offset: number): number {
  const per = (2 * Math.PI) / samples.length;
  return (2 / samples.length) * samples.reduce((sum, v, k) => sum + v * Math.sin(order * (k + offset) * per), 0);
}

const cosineOf = (samples: readonly number[], order: number, offset: number): number => {
  const per = (2 * Math.PI) / samples.length;
  return (2 / samples.length) * samples.reduce((sum, v, k) => sum + v * Math.cos(order * (k + offset) * per), 0);
};

const FINE = 36_000;
const shape = Array.from({ length: FINE }, (_, k) => trapezoid(((k + 0.5) * 2 * Math.PI) / FINE));
const harmonic = (order: number) => sineOf(shape, order, 0.5);

describe('ideal trapezoid', () => {
  it.each([
    [1, 1.215854],
    [3, 0.27019],
    [5, 0.048634],
    [7, -0.024813],
    [9, -0.030021],
    [11, -0.010048],
  ])('has in order %i the amplitude %f', (order, b) => {
    expectNear(harmonic(order), b, { abs: 5.1e-7, because: 'six printed decimals; the sum misses 24/36000^2 = 2e-8' });
  });
});

describe('EMF at open terminals', () => {
  const SAMPLES = 1200;
  const UPDATE_S = 2e-6;
  const WE_RAD_S = (2 * Math.PI) / (SAMPLES * UPDATE_S);
  const FLUX_WB = MACHINE_S.magnet_Wb;
  const [b1, b5, b7] = [1, 5, 7].map(harmonic);
  const bridge = { period_s: UPDATE_S, dead_s: 0, rds_ohm: TINY, diode_V: 0, diode_ohm: TINY, shunt_ohm: TINY };

  function turning(emf5: number, emf7: number): Plant {
    const p = { ...bridge, link_V: 48, angle_rad: 0, speed_rad_s: WE_RAD_S };
    const winding = linearWinding({ ...MACHINE_S, emf5, emf7 });
    return spinning(p, merge(circuit(p), winding), 1e-6);
  }

  /** Voltages a-b, b-c, c-a over one electrical turn, each the mean of an update, over minus speed times flux. */
  function lines(emf5: number, emf7: number): number[][] {
    const plant = turning(emf5, emf7);
    const out: number[][] = [[], [], []];
    for (let k = 0; k < SAMPLES; k++) {
      plant.runPeriod();
      const poles = [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')];
      out.forEach((column, j) => {
        column.push((poles[(j + 1) % 3] - poles[j]) / (WE_RAD_S * FLUX_WB));
      });
      expect(plant.read('iAlpha') ** 2 + plant.read('iBeta') ** 2).toBe(0);
    }
    return out;
  }

  /** Phase a without what all three have in common. */
  const phaseA = ([ab, , ca]: number[][]): number[] => ab.map((v, k) => (v - ca[k]) / 3);
  /** Share of an order that the mean over an update keeps. */
  const kept = (order: number) => Math.sin((order * Math.PI) / SAMPLES) / ((order * Math.PI) / SAMPLES);

  const trapezoidal = lines(b5 / (5 * b1), b7 / (7 * b1));
  const because = 'exact differences of the flux; what a step of 1 us leaves is its angle, 2.6e-3 to the sixth power';

  it.each([
    [1, 1],
    [5, 0.048634 / 1.215854],
    [7, -0.024813 / 1.215854],
  ])('has in order %i of a phase %f of the fundamental', (order, share) => {
    const phase = phaseA(trapezoidal);
    const digits = order === 1 ? 0 : 5e-7;
    expectNear(sineOf(phase, order, 0.5) / kept(order), share, { abs: digits + 1e-9, because });
    expectNear(cosineOf(phase, order, 0.5), 0, { abs: 1e-9, because });
  });

  it('has the same shares between any two terminals', () => {
    const size = (v: number[], n: number) => Math.hypot(sineOf(v, n, 0.5), cosineOf(v, n, 0.5)) / kept(n);
    for (const line of trapezoidal) {
      expectNear(size(line, 1), Math.sqrt(3), { abs: 1e-8, because });
      expectNear(size(line, 5) / size(line, 1), b5 / b1, { abs: 1e-8, because });
      expectNear(size(line, 7) / size(line, 1), -b7 / b1, { abs: 1e-8, because });
    }
  });

  it('has no other order between two terminals', () => {
    for (const line of trapezoidal) {
      for (const order of [0, 2, 3, 4, 6, 8, 9, 10, 11, 12, 13, 15]) {
        expectNear(sineOf(line, order, 0.5), 0, { abs: 1e-9, because });
        expectNear(cosineOf(line, order, 0.5), 0, { abs: 1e-9, because });
      }
    }
  });

  it('follows the trapezoids as closely as three orders can', () => {
    // What is left of the difference of two trapezoids are its orders from 11 on, each sqrt 3 times that of a phase.
    const orders = Array.from({ length: 200 }, (_, k) => [6 * k + 11, 6 * k + 13]).flat();
    const left = Math.sqrt(orders.reduce((sum, n) => sum + 1.5 * harmonic(n) ** 2, 0));
    const off = trapezoidal[0].map((v, k) => {
      const angle = ((k + 0.5) * 2 * Math.PI) / SAMPLES;
      return b1 * v - (trapezoid(angle) - trapezoid(angle - (2 * Math.PI) / 3));
    });
    const rms = Math.sqrt(off.reduce((sum, v) => sum + v * v, 0) / SAMPLES);
    expectNear(rms, left, {
      abs: 1e-5,
      because:
        'midpoints beside eight corners, step^2/24 of a slope that jumps by 1.9: 3e-7 of the square, 8e-6 of its root',
    });
  });

  it('is a sine without harmonics of the flux', () => {
    for (const line of lines(0, 0)) {
      for (const order of [5, 7]) {
        expectNear(sineOf(line, order, 0.5), 0, { abs: 1e-9, because });
        expectNear(cosineOf(line, order, 0.5), 0, { abs: 1e-9, because });
      }
    }
  });
});
