/**
 * Pulses along +d and -d of a locked rotor: iron that the magnet has half saturated takes more current along +d. That is
 * how a controller without sensors tells north from south.
 *
 * Model   T: psi_d = psi_s tanh(L0 (id + im) / psi_s), with im so that the magnet is what is left at id = 0.
 *         P: the plant's id = x / Ld + a x^2 + b x^3, x = psi_d - lambda, with the Taylor coefficients of the inverse of T
 *         at x = 0. With u = lambda / psi_s and the inverse f(x) = (psi_s / L0) atanh(u + x / psi_s) - im:
 *         f' = 1 / (L0 (1 - u^2)), f'' = 2 u / (L0 psi_s (1 - u^2)^2), f''' = (2 + 6 u^2) / (L0 psi_s^2 (1 - u^2)^3).
 *         Both by d psi/dt = v - R i.
 * Source  the values of T were computed once with scipy's DOP853 at rtol 1e-9 or better: a third solution, not a
 *         publication. Polynomial map: Jebai, Malrait, Martin, Rouchon, arXiv 1207.5743, 2012 (abstract read, layout
 *         of the terms from memory). Polarity by pulses: Nakashima, Inagaki, Miki, IEEE Trans. Ind. Appl. 36(6), 2000 (from
 *         memory). Solver: npm odex, run live.
 */
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import type { WindingParams } from '../../src/plant/params.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { BENCH_BOARD, boardParams, currentPerCount_A, currentZero_counts } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, livePlant, Machine, type Overrides } from '../support/rigs.ts';

const R_OHM = 0.05;
const PSI_S_WB = 6e-3;
const L0_H = 60e-6;
const MAGNET_WB = 4e-3;
const IM_A = (PSI_S_WB / L0_H) * Math.atanh(MAGNET_WB / PSI_S_WB);

/** Map T: current at the flux x that is not the magnet's, and what is left of the inductance there. */
const tanhCurrent_A = (x_Wb: number) => (PSI_S_WB / L0_H) * Math.atanh((MAGNET_WB + x_Wb) / PSI_S_WB) - IM_A;
const tanhInductance_H = (id_A: number) => L0_H / Math.cosh((L0_H * (id_A + IM_A)) / PSI_S_WB) ** 2;

/** Map P: Taylor coefficients of T's inverse. */
const u = MAGNET_WB / PSI_S_WB;
const rest = 1 - u * u;
const MAP = Object.freeze({
  ld_H: L0_H * rest,
  satD2: u / (L0_H * PSI_S_WB * rest ** 2),
  satD3: (1 + 3 * u * u) / (3 * L0_H * PSI_S_WB ** 2 * rest ** 3),
});
const polynomialCurrent_A = (x: number) => x / MAP.ld_H + MAP.satD2 * x * x + MAP.satD3 * x * x * x;

/** Flux x after t_s of v_V on a locked rotor, by odex. */
function fluxByOdex(current_A: (x: number) => number, v_V: number, t_s: number): number {
  const solver = new Solver(1);
  solver.absoluteTolerance = 1e-17;
  solver.relativeTolerance = 1e-13;
  return solver.solve((_t, [x]) => [v_V - R_OHM * current_A(x)], 0, [0], t_s).y[0];
}

/** Current after t_s of v_V along d, by the plant's kernel. */
function currentByPlant(winding: Partial<WindingParams>, v_V: number, t_s: number, h_s: number): number {
  const m = new Machine({ ...MACHINE_S, r_ohm: R_OHM, magnet_Wb: MAGNET_WB, ...winding }, { rotor_kgm2: 1e9 });
  const n = Math.round(t_s / h_s);
  for (let k = 0; k < n; k++) m.step(v_V, 0, h_s);
  return m.id_A;
}

/** Time, current at +2 V, current at -2 V of map T. */
const TABLE = [
  [100e-6, 5.78135, -5.38652],
  [400e-6, 20.14298, -16.55914],
] as const;

describe('the hyperbolic map', () => {
  it('leaves the magnet at no current with im = 80.471896 A', () => {
    expectNear(IM_A, 80.471896, { abs: 6e-7, because: 'six printed decimals' });
  });

  it.each([
    [-60, 57.554e-6],
    [0, 33.333e-6],
    [60, 12.861e-6],
  ])('has at %f A the incremental inductance %f H', (id_A, expected) => {
    expectNear(tanhInductance_H(id_A), expected, { abs: 6e-10, because: 'three printed decimals of a microhenry' });
  });

  it.each(TABLE)('gives after %f s of 2 V the currents %f and %f A', (t_s, forth, back) => {
    for (const [v_V, expected] of [
      [2, forth],
      [-2, back],
    ]) {
      const id = tanhCurrent_A(fluxByOdex(tanhCurrent_A, v_V, t_s));
      expectNear(id, expected, { abs: 6e-6, because: 'five printed decimals; the solver is exact to 1e-10' });
    }
  });
});

describe('the polynomial map of the plant, expanded from it', () => {
  it.each(
    TABLE.flatMap(([t_s]) => [
      [t_s, 2],
      [t_s, -2],
    ]),
  )('is solved by the kernel as by odex: %f s of %f V', (t_s, v_V) => {
    const exact = polynomialCurrent_A(fluxByOdex(polynomialCurrent_A, v_V, t_s));
    const fine = currentByPlant(MAP, v_V, t_s, 1e-6);
    const coarse = currentByPlant(MAP, v_V, t_s, 2e-6);
    expectNear(fine, exact, {
      abs: (1.1 * Math.abs(coarse - fine)) / 3 + 1e-9,
      because: 'Richardson estimate of a second-order method, 10 % for the next term',
    });
    expect(Math.abs(fine - exact)).toBeLessThan(1e-4);
  });

  /**
   * How far the current of P may be from that of T. With y of P and x of T, e = y - x obeys
   * de/dt = -R (P(y) - P(x)) + R r(x), r = T - P: P rises, so 0 <= |e| <= R t |r| at the largest x, with the sign of r. The
   * current is then off by P(y) - P(x), between 0 and P' R t |r|, less r: by no more than the larger of the two.
   */
  function truncation_A(v_V: number, t_s: number): number {
    const x = fluxByOdex(tanhCurrent_A, v_V, t_s);
    const left = Math.abs(tanhCurrent_A(x) - polynomialCurrent_A(x));
    const steepest = 1 / MAP.ld_H + 2 * MAP.satD2 * Math.abs(x) + 3 * MAP.satD3 * x * x;
    return left * Math.max(1, steepest * R_OHM * t_s);
  }

  it.each([
    [100e-6, 7.3, 0.1],
    [400e-6, 21.6, 1.5],
  ])('answers %f s of 2 V with a +d current larger by the tabled %f %', (t_s, percent, widest) => {
    const [, forth, back] = TABLE.find(([t]) => t === t_s) as (typeof TABLE)[number];
    const plus = currentByPlant(MAP, 2, t_s, 1e-6);
    const minus = currentByPlant(MAP, -2, t_s, 1e-6);
    expectNear(plus, forth, { abs: truncation_A(2, t_s) + 1e-4, because: 'truncated terms, and the step' });
    expectNear(minus, back, { abs: truncation_A(-2, t_s) + 1e-4, because: 'truncated terms, and the step' });
    const share = truncation_A(2, t_s) / forth + truncation_A(-2, t_s) / -back;
    const abs = 100 * (forth / -back) * share + 0.05;
    expect(abs).toBeLessThan(widest);
    expectNear(100 * (plus / -minus - 1), percent, {
      abs,
      because: 'terms of the fourth order and above that the plant does not have, and one printed decimal',
    });
  });

  it('answers +d and -d alike when saturation is off', () => {
    const off = { ld_H: MAP.ld_H, satD2: 0, satD3: 0, satCross: 0, satQ3: 0 };
    for (const [t_s] of TABLE) {
      const plus = currentByPlant(off, 2, t_s, 1e-6);
      expectNear(currentByPlant(off, -2, t_s, 1e-6), -plus, {
        abs: 1e-9,
        because: 'rounding of 4 mWb to 9e-19 Wb in each of 400 steps, over 33 uH',
      });
      expectNear(plus, (2 / R_OHM) * (1 - Math.exp((-t_s * R_OHM) / MAP.ld_H)), {
        abs: ((2 / R_OHM) * ((1e-6 * R_OHM) / MAP.ld_H) ** 2) / 12,
        because: 'an R-L branch; trapezoidal rule on a decay',
      });
    }
  });
});

describe('pulses of the bench drill through its bridge', () => {
  const BOARD = boardParams({ ...BENCH_BOARD, noise_counts: 0, shuntOffset_counts: [0, 0, 0] });
  const PERIODS = 4;
  const DUTY = 0.2;

  /** Current along d, counts of phase a, and the flux that the mean pole voltages have put in, after some periods. */
  function pulse(sign: 1 | -1, over: Overrides = {}) {
    const p = drillWith(over);
    const plant = livePlant(p, 0.5e-6, 0);
    const period_s = 1 / p.bridge.pwm_Hz;
    plant.command(7, 0, 0, 0);
    plant.runPeriod();
    if (sign > 0) plant.command(7, DUTY, 0, 0);
    else plant.command(7, 0, DUTY, DUTY);
    plant.runPeriod();
    let flux_Wb = 0;
    for (let n = 0; n < PERIODS; n++) {
      const before = plant.read('iAlpha');
      plant.runPeriod();
      const alpha = (2 * plant.read('meanA') - plant.read('meanB') - plant.read('meanC')) / 3;
      flux_Wb += period_s * (alpha - 0.5 * p.winding.r_ohm * (before + plant.read('iAlpha')));
    }
    const sense = blankSense();
    new Sensors(BOARD).sample(plant, sense, false);
    return {
      id_A: plant.read('iAlpha'),
      counts: sense.ia - currentZero_counts(BOARD),
      flux_Wb,
    };
  }

  it('drive more current along +d, by more than a converter count', () => {
    const plus = pulse(1);
    const minus = pulse(-1);
    expect(plus.id_A + minus.id_A).toBeGreaterThan(currentPerCount_A(BOARD));
    expect(plus.counts + minus.counts).toBeGreaterThan(1);
    const { ld_H, satD2, satD3 } = BENCH_18.winding;
    for (const { id_A, flux_Wb: x } of [plus, minus]) {
      expectNear(id_A, x / ld_H + satD2 * x * x + satD3 * x ** 3, {
        abs: 0.01,
        because: 'the pulse sits up to 0.25 us beside the middle of its 50: 10 A a period, 8 mohm, four periods, 12 uH',
      });
    }
  });

  it('drive the same along both when saturation is off', () => {
    const off = { winding: { satD2: 0, satD3: 0, satCross: 0, satQ3: 0 } };
    const plus = pulse(1, off);
    const minus = pulse(-1, off);
    // A third of 20 A in 0.5 mohm for 40 us of pulses, or in 4 mohm for 4 us of dead time, over 12 uH.
    expectNear(-minus.id_A, plus.id_A, {
      abs: 0.011,
      because: 'one shunt or two, 11 mA, against one diode or two, 9 mA: by which side phase a conducts alone',
    });
    expect(-minus.counts).toBe(plus.counts);
  });
});
