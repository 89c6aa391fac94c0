/**
 * How much voltage a two-level bridge can give: sine PWM, space-vector PWM and six-step, as the mean pole voltages of the
 * plant over one electrical turn, without dead time.
 *
 * Source  peak of the phase fundamental: Vdc/2, Vdc/sqrt(3) (the circle in the hexagon of the six states), and 2 Vdc/pi
 *         (Fourier series of the six-step wave). Elementary geometry; the three limits are common knowledge of the trade.
 */
import { describe, expect, it } from 'vitest';
import { STILL } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, TINY } from '../support/rigs.ts';
import { harmonic, vectorOf, withoutStar } from '../support/staircase.ts';

const VDC = 18;
/** Periods of an electrical turn. A sine that is held for a period each has a fundamental lower by sin(x)/x. */
const PERIODS = 3600;
const HELD = ((Math.PI / PERIODS) * (Math.PI / PERIODS)) / 6;
/** Every edge is at its exact time; duties are taken over as they are. */
const exact = 'exact edges: what is left is rounding';
const printed = 'six printed decimals';
const held = 'a sine in 3600 steps is 1.3e-7 lower, and six printed decimals';

type Modulation = (angle_rad: number, peak_V: number) => number[];

/** Reference of the three phases at an angle [V]. */
function references(angle: number, peak_V: number): number[] {
  return [0, 1, 2].map((k) => peak_V * Math.cos(angle - (2 * Math.PI * k) / 3));
}

const sine: Modulation = (angle, peak_V) => references(angle, peak_V).map((v) => 0.5 + v / VDC);

/** The three references are shifted together until the highest and the lowest are as far from the rails. */
const spaceVector: Modulation = (angle, peak_V) => {
  const v = references(angle, peak_V);
  const middle = 0.5 * (Math.max(...v) + Math.min(...v));
  return v.map((each) => 0.5 + (each - middle) / VDC);
};

const sixStep: Modulation = (angle) => references(angle, 1).map((v) => (v > 0 ? 1 : 0));

/** Mean pole voltages of the plant over one electrical turn, less their common mode: rows by period. */
function turn(modulation: Modulation, peak_V: number): number[][] {
  // A winding that carries next to nothing.
  const winding = { r_ohm: TINY, ld_H: 1, lq_H: 1, magnet_Wb: TINY };
  const drill = drillWith(merge(STILL, idealSupply(VDC), linearWinding(winding)));
  const plant = livePlant(drill, 2e-6);
  const rows: number[][] = [];
  // A command is loaded at the end of the period in which it is given.
  for (let n = -1; n < PERIODS; n++) {
    const [a, b, c] = modulation((2 * Math.PI * (n + 1.5)) / PERIODS, peak_V);
    plant.command(7, a, b, c);
    plant.runPeriod();
    if (n >= 0) rows.push(withoutStar([plant.read('meanA'), plant.read('meanB'), plant.read('meanC')]));
  }
  return rows;
}

const phaseOf = (rows: number[][], k: number) => rows.map((row) => row[k]);

describe.each([
  ['sine PWM', sine, 9],
  ['space-vector PWM', spaceVector, 10.392305],
] as const)('limit of %s', (_name, modulation, limit_V) => {
  const rows = turn(modulation, limit_V);

  it(`is a phase fundamental of ${limit_V} V`, () => {
    for (let k = 0; k < 3; k++) {
      expectNear(harmonic(phaseOf(rows, k), 1).peak, limit_V, { abs: limit_V * HELD + 6e-7, because: held });
    }
  });

  it('is reached with a vector of constant length: no harmonics', () => {
    for (const row of rows) expectNear(vectorOf(row).length, limit_V, { abs: 6e-7, because: printed });
    for (const n of [3, 5, 7, 11, 13]) {
      expectNear(harmonic(phaseOf(rows, 0), n).peak, 0, { abs: 1e-6, because: exact });
    }
  });

  it('is a limit: 2 % more of the reference comes out as less, with a fifth harmonic', () => {
    const more = phaseOf(turn(modulation, 1.02 * limit_V), 0);
    expect(harmonic(more, 1).peak).toBeGreaterThan(limit_V);
    expect(harmonic(more, 1).peak).toBeLessThan(1.02 * limit_V * (1 - 1e-4));
    expect(harmonic(more, 5).peak).toBeGreaterThan(1e-3 * limit_V);
  });
});

describe('limit of six-step', () => {
  const rows = turn(sixStep, 1);

  it('is a phase fundamental of 2 Vdc / pi = 11.459156 V', () => {
    for (let k = 0; k < 3; k++) {
      expectNear(harmonic(phaseOf(rows, k), 1).peak, 11.459156, { abs: 6e-7, because: printed });
    }
  });

  it('is a vector of 12 V in six places', () => {
    for (const row of rows) expectNear(vectorOf(row).length, 12, { abs: 1e-9, because: exact });
    const places = new Set(
      rows.map((row) => Math.round((Math.atan2(row[1] - row[2], row[0] * Math.sqrt(3)) * 3) / Math.PI)),
    );
    expect([...places].map((place) => (place + 6) % 6).sort()).toEqual([0, 1, 2, 3, 4, 5]);
  });

  it.each([5, 7, 11, 13])('has a harmonic of order %i of its share 1/n', (n) => {
    expectNear(harmonic(phaseOf(rows, 0), n).peak, 11.459156 / n, { abs: 6e-7, because: printed });
  });
});
