/**
 * Two wires to the motor changed over: what the bridge calls a forward field, the motor gets as a backward one.
 *
 * Source  elementary: with b and c changed over, the voltage vector is mirrored on the axis of phase a. Standing rotor:
 *         i = V/R (1 - exp(-t R/L)) on each axis of its own. Turning rotor with equal inductances, after superposition: the
 *         magnet drives -j w flux / (R + j w L), which turns forward; the bridge drives a current that turns backward. Both
 *         together beat at twice the electrical frequency. A voltage that is held for each of N periods of a turn drives
 *         b V / (z - a) at z = exp(-2 pi j / N), with a = exp(-T R/L), b = (1 - a)/R: the exact sampled answer of R and L.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { phaseCurrents_A, STILL, switchedOn } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, type Overrides, set } from '../support/rigs.ts';

const VDC = 18;
const PERIOD_S = 1 / 20e3;
/** Wires b and c changed over, as DAMAGE.wiring counts. */
const B_AND_C = 2;

describe('swapped phases of a standing rotor', () => {
  const H_S = 0.5e-6;
  /** Rotor at 0: d is the axis of phase a, so both axes answer alone. */
  function after(wiring: number, high: readonly number[]): Plant {
    const plant = livePlant(drillWith(merge(STILL, idealSupply(VDC), linearWinding(MACHINE_S))), H_S, 0);
    plant.damage.set('wiring', wiring);
    switchedOn(plant, 7, high);
    for (let n = 0; n < 4; n++) plant.runPeriod();
    return plant;
  }

  const along = (v_V: number, l_H: number) =>
    (v_V / MACHINE_S.r_ohm) * (1 - Math.exp((-4 * PERIOD_S * MACHINE_S.r_ohm) / l_H));
  // State 110 is a vector of 12 V at 60 degrees.
  const alpha = along(12 * 0.5, MACHINE_S.ld_H);
  const beta = along(12 * Math.sqrt(0.75), MACHINE_S.lq_H);
  const trapezoid = 'trapezoidal rule on a decay: (h R/L)^2 / 12 of the final current, at most 208 A';
  const abs = (208 * ((H_S * MACHINE_S.r_ohm) / MACHINE_S.ld_H) ** 2) / 12;

  it.each([
    ['whole', 0, 1],
    ['changed over', B_AND_C, -1],
  ] as const)('carries the vector of state 110 at 60 degrees, mirrored if need be: wires %s', (_name, wiring, sign) => {
    const plant = after(wiring, [1, 1, 0]);
    expectNear(plant.read('iAlpha'), alpha, { abs, because: trapezoid });
    expectNear(plant.read('iBeta'), sign * beta, { abs, because: trapezoid });
    const { polePairs, magnet_Wb, ld_H, lq_H } = MACHINE_S;
    const torque = 1.5 * polePairs * (magnet_Wb + (ld_H - lq_H) * alpha) * sign * beta;
    // The torque is the mean of the last step, half a step before the currents.
    const late = (H_S / 2) * 1.5 * polePairs * magnet_Wb * ((12 * Math.sqrt(0.75)) / lq_H);
    expectNear(plant.read('airGap'), torque, { abs: late, because: 'the torque is half a step old' });
  });

  it('is what the whole motor does with the two commands changed over', () => {
    const [swapped, whole] = [after(B_AND_C, [1, 1, 0]), after(0, [1, 0, 1])];
    for (const name of ['iAlpha', 'iBeta', 'airGap'] as const) expect(swapped.read(name)).toBe(whole.read(name));
  });
});

describe('swapped phases of a turning rotor', () => {
  const R = 0.05;
  const L = 200e-6;
  const FLUX = 4e-3;
  const POLES = 4;
  /** Periods of an electrical turn. */
  const N = 60;
  const W = (2 * Math.PI) / (N * PERIOD_S);
  const PEAK_V = 6;
  const H_S = 1e-6;
  /** More than 25 time constants of 4 ms, in whole turns: what is left of the start is below 1e-10 of it. */
  const SETTLED = 40 * N;

  const winding: Overrides = linearWinding({ polePairs: POLES, r_ohm: R, ld_H: L, lq_H: L, magnet_Wb: FLUX });

  interface Turn {
    /** Complex amplitudes of what turns forward and backward [A]. */
    readonly forward: readonly [number, number];
    readonly backward: readonly [number, number];
    /** Squared length of the current, and air-gap torque, at the start of each period. */
    readonly square: number[];
    readonly torque: number[];
  }

  /** One turn of a settled drive whose command turns forward with the rotor, the voltage on q at mid-period. */
  function turn(wiring: number, peak_V: number): Turn {
    const plant = livePlant(drillWith(merge(STILL, idealSupply(VDC), winding)), H_S, 0);
    plant.hands.set('gear', 0);
    plant.damage.set('wiring', wiring);
    set(plant, { rotorSpeed: W / POLES });
    const duty = (n: number, k: number) =>
      0.5 + (peak_V / VDC) * Math.cos((2 * Math.PI * (n + 0.5)) / N + Math.PI / 2 - (2 * Math.PI * k) / 3);
    const give = (n: number) => plant.command(7, duty(n, 0), duty(n, 1), duty(n, 2));
    switchedOn(
      plant,
      7,
      [0, 1, 2].map((k) => duty(0, k)),
    );
    const forward: [number, number] = [0, 0];
    const backward: [number, number] = [0, 0];
    const square: number[] = [];
    const torque: number[] = [];
    for (let n = 0; n < SETTLED + N; n++) {
      if (n >= SETTLED) {
        const [a, b] = [plant.read('iAlpha'), plant.read('iBeta')];
        const [c, s] = [Math.cos((2 * Math.PI * n) / N), Math.sin((2 * Math.PI * n) / N)];
        forward[0] += (a * c + b * s) / N;
        forward[1] += (b * c - a * s) / N;
        backward[0] += (a * c - b * s) / N;
        backward[1] += (b * c + a * s) / N;
        square.push(a * a + b * b);
        torque.push(plant.read('airGap'));
      }
      give(n + 1);
      plant.runPeriod();
    }
    return { forward, backward, square, torque };
  }

  /** What the magnet drives through shorted terminals, in the rotor frame: -j w flux / (R + j w L). */
  const D = R * R + W * W * L * L;
  const magnet = [(-W * W * L * FLUX) / D, (-W * R * FLUX) / D] as const;

  /** What a vector of PEAK_V at q, held for a period each, drives when it turns by `sense`, at the start of turn 0. */
  function driven(sense: 1 | -1): [number, number] {
    const a = Math.exp((-PERIOD_S * R) / L);
    const gain = (PEAK_V * (1 - a)) / R;
    const angle = sense * (Math.PI / 2 + Math.PI / N);
    const [re, im] = [Math.cos((sense * 2 * Math.PI) / N) - a, Math.sin((sense * 2 * Math.PI) / N)];
    const per = gain / (re * re + im * im);
    return [per * (Math.cos(angle) * re + Math.sin(angle) * im), per * (Math.sin(angle) * re - Math.cos(angle) * im)];
  }

  const because =
    'a pulse in the middle of a period does as its mean to (T R/L)^2 / 24 = 7e-6 of 80 A; steps have (h w)^2 / 12 = 4e-7';
  const abs = 1e-3;
  const swapped = turn(B_AND_C, PEAK_V);

  it('carries the current of the magnet forward, as if the terminals were shorted', () => {
    swapped.forward.forEach((value, k) => {
      expectNear(value, magnet[k], { abs, because });
    });
  });

  it('carries the current of the bridge backward', () => {
    driven(-1).forEach((value, k) => {
      expectNear(swapped.backward[k], value, { abs, because });
    });
  });

  it('beats at twice the electrical frequency, and so does its torque', () => {
    const [f, b] = [Math.hypot(...swapped.forward), Math.hypot(...swapped.backward)];
    const wave = (values: number[], n: number) => {
      const at = (g: (x: number) => number) =>
        (2 / N) * values.reduce((sum, v, k) => sum + v * g((2 * Math.PI * n * k) / N), 0);
      return Math.hypot(at(Math.cos), at(Math.sin));
    };
    expectNear(wave(swapped.square, 2), 2 * f * b, { abs: 4 * abs * (f + b), because });
    // 1.5 p flux times the q share of what turns backward; the mean is left to the magnet, and brakes.
    const kt = 1.5 * POLES * FLUX;
    const half = (VDC / L) * (H_S / 2) * kt;
    const old = 'the torque is half a step old, and the current ripples; as above besides';
    expectNear(wave(swapped.torque, 2), kt * b, { abs: kt * abs + half, because: old });
    const mean = swapped.torque.reduce((sum, v) => sum + v, 0) / N;
    expectNear(mean, kt * magnet[1], { abs: kt * abs + half, because: old });
    for (const n of [1, 3, 4, 5]) expect(wave(swapped.square, n)).toBeLessThan(1e-3 * f * b);
  });

  it('does none of it with the wires as drawn: all of the current turns with the rotor and the torque stands', () => {
    const whole = turn(0, PEAK_V);
    driven(1).forEach((value, k) => {
      expectNear(whole.forward[k], magnet[k] + value, { abs, because });
      expectNear(whole.backward[k], 0, { abs, because });
    });
    const spread = Math.max(...whole.torque) - Math.min(...whole.torque);
    expect(spread).toBeLessThan(0.02 * 1.5 * POLES * FLUX * Math.hypot(...swapped.backward));
  });

  it('is not seen by the sum of the phase currents, and changes b and c at the legs', () => {
    const plant = livePlant(drillWith(merge(STILL, idealSupply(VDC), winding)), H_S, 0);
    plant.damage.set('wiring', B_AND_C);
    switchedOn(plant, 7, [0, 1, 0]);
    for (let n = 0; n < 2; n++) plant.runPeriod();
    const [a, b, c] = phaseCurrents_A(plant);
    expectNear(a + b + c, 0, { abs: 1e-12, because: 'floating star' });
    // Leg b is high, and what is wired to it is phase c.
    expect(c).toBeGreaterThan(1);
    expect(b).toBeLessThan(-0.5);
    expectNear(plant.read('meanB'), VDC, { abs: 1e-9, because: 'the leg keeps its name' });
  });
});
