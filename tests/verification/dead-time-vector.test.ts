/**
 * Dead time over one electrical turn: the error of the pole voltages as a vector, and its harmonics.
 *
 * A rotor turns while all legs switch at duty one half: the bridge shorts the winding on the mean, and a large inductance
 * lets the magnet drive a sinusoidal current of its own. What the mean pole voltages differ from half the link is
 * the dead time alone.
 *
 * Source  error of a period -sign(i) Vdc td fs = 0.18 V: public control-library documentation on docs.rs states it in
 *         essence; Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991 (from memory). Of three such square waves the
 *         floating star leaves a vector of 4/3 of that in six steps, with a phase fundamental of 4/pi and odd harmonics 1/n
 *         without triplens: the Fourier series of a square wave.
 */
import { describe, expect, it } from 'vitest';
import { phaseCurrents_A, STILL, switchedOn } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';
import { harmonic, vectorOf, withoutStar } from '../support/staircase.ts';

const VDC = 18;
const POLE_PAIRS = 4;
/** Periods of an electrical turn: a current changes its sign every sixth of it, between two periods. */
const PERIODS = 60;
const PERIOD_S = 1 / 20e3;
const SPEED_RAD_S = (2 * Math.PI) / (PERIODS * PERIOD_S);
const PEAK_A = 30;
/** So large that 0.24 V over a sixth of a turn change the current by 0.12 mA. */
const L_H = 1;

interface Turn {
  /** Mean pole voltages less half the link, by phase and period [V]. */ readonly errors: number[][];
  /** Currents in the middle of each period, by phase [A]. */ readonly currents: number[][];
}

/** One electrical turn of a shorted machine whose current is -PEAK_A on the d axis. */
function turn(deadTime_s: number): Turn {
  const winding = { polePairs: POLE_PAIRS, r_ohm: TINY, ld_H: L_H, lq_H: L_H, magnet_Wb: PEAK_A * L_H };
  const drill = drillWith(merge(STILL, idealSupply(VDC), linearWinding(winding), { bridge: { deadTime_s } }));
  const plant = livePlant(drill, 1e-6, 0);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: SPEED_RAD_S / POLE_PAIRS });
  // No flux in all: the current holds against the magnet.
  switchedOn(plant, 7, [0.5, 0.5, 0.5], { psiAlpha: 0, psiBeta: 0, iAlpha: -PEAK_A });
  const errors: number[][] = [[], [], []];
  const currents: number[][] = [[], [], []];
  for (let n = 0; n < PERIODS; n++) {
    while (plant.tick === n && plant.read('inPeriod') < 0.5 * PERIOD_S - 1e-9) plant.step();
    phaseCurrents_A(plant).forEach((i, k) => {
      currents[k].push(i);
    });
    plant.runPeriod();
    expect(plant.tick).toBe(n + 1);
    [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')].forEach((mean, k) => {
      errors[k].push(mean - VDC / 2);
    });
  }
  return { errors, currents };
}

const exact = 'edges at their exact time on a lossless bridge: what is left is rounding of 18 V sums over 50 steps';
const driven = '0.24 V for a sixth of a turn drive 0.12 mA through 1 H';
const printed = 'six printed decimals, and rounding';

describe('dead time over an electrical turn', () => {
  const { errors, currents } = turn(500e-9);
  const rows = errors[0].map((_, n) => errors.map((phase) => phase[n]));

  it('is driven by sinusoidal currents of 30 A', () => {
    // Held for a period each, sixty samples make a staircase, whose fundamental is lower by sin(x)/x.
    const held = Math.sin(Math.PI / PERIODS) / (Math.PI / PERIODS);
    for (const phase of currents) {
      expectNear(harmonic(phase, 1).peak, PEAK_A * held, { abs: 1e-3, because: driven });
      for (const n of [5, 7, 11]) {
        expectNear(harmonic(phase, n).peak, 0, { abs: 1e-3, because: driven });
      }
    }
  });

  it('costs every phase 0.18 V against the sign of its current, in every period', () => {
    errors.forEach((phase, k) => {
      phase.forEach((error, n) => {
        expectNear(error, -0.18 * Math.sign(currents[k][n]), { abs: 1e-9, because: exact });
      });
    });
  });

  it('is a vector of 0.24 V that takes six places, each for a sixth of the turn', () => {
    const places = new Map<number, number>();
    rows.forEach((row) => {
      const { alpha, beta, length } = vectorOf(row);
      expectNear(length, 0.24, { abs: 1e-9, because: exact });
      const degrees = (Math.atan2(beta, alpha) * 180) / Math.PI;
      const place = Math.round(degrees / 60);
      expectNear(degrees, 60 * place, { abs: 1e-6, because: exact });
      places.set((place + 6) % 6, (places.get((place + 6) % 6) ?? 0) + 1);
    });
    expect([...places.values()]).toEqual(Array(6).fill(PERIODS / 6));
  });

  it('points within 30 degrees against the current', () => {
    rows.forEach((row, n) => {
      const error = vectorOf(row);
      const current = vectorOf(currents.map((phase) => phase[n]));
      const along = (error.alpha * current.alpha + error.beta * current.beta) / (error.length * current.length);
      expect(along).toBeLessThan(-Math.cos(Math.PI / 6));
    });
  });

  it.each([
    [1, 0.229183],
    [5, 0.045837],
    [7, 0.03274],
  ])('has a phase harmonic of order %i of %f V', (n, expected) => {
    const phases = rows.map(withoutStar);
    for (let k = 0; k < 3; k++) {
      const { peak } = harmonic(
        phases.map((row) => row[k]),
        n,
      );
      expectNear(peak, expected, { abs: 6e-7, because: printed });
    }
  });

  it('has no third and no even harmonic behind the floating star', () => {
    const phase = rows.map((row) => withoutStar(row)[0]);
    for (const n of [2, 3, 4, 6, 9]) expectNear(harmonic(phase, n).peak, 0, { abs: 1e-9, because: exact });
    // The third is there before the star takes it: a third of the fundamental.
    expectNear(harmonic(errors[0], 3).peak, 0.229183 / 3, { abs: 6e-7, because: printed });
  });

  it('grows with the dead time and vanishes without it', () => {
    const half = turn(250e-9).errors;
    const none = turn(0).errors;
    errors.forEach((phase, k) => {
      phase.forEach((error, n) => {
        expectNear(half[k][n], error / 2, { abs: 1e-9, because: exact });
        expectNear(none[k][n], 0, { abs: 1e-9, because: exact });
      });
    });
  });
});
