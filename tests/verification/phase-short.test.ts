/**
 * All low switches on, or all high ones, while the machine turns: the brake of a bridge without supply.
 *
 * Source  voltage equations of Pillay, Krishnan, "Modeling of permanent magnet motor drives", IEEE Trans. Ind. Electron.
 *         35(4), 1988 (bibliography read, text not) with no voltage: id = -w^2 Lq flux / D, iq = -w R flux / D,
 *         D = R^2 + w^2 Ld Lq, T = 1.5 p (flux + (Ld - Lq) id) iq. With equal inductances the way there is a closed form:
 *         i = i_end (1 - exp(-(R/L + j w) t)) in the rotor frame. The figures were computed from these equations.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { STILL, switchedOn } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, type Overrides, set } from '../support/rigs.ts';

const LOW = [0, 0, 0];
const HIGH = [1, 1, 1];
/** Longer than 25 of the longest time constant, 1.2 ms. */
const SETTLED_S = 30e-3;

function shorted(we_rad_s: number, duties: readonly number[], h_s: number, more: Overrides = {}): Plant {
  const plant = livePlant(drillWith(merge(STILL, idealSupply(18), linearWinding(MACHINE_S), more)), h_s, 0.3);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: we_rad_s / MACHINE_S.polePairs });
  switchedOn(plant, 7, duties);
  return plant;
}

/** Currents in the rotor frame [A] and air-gap torque [N·m]. */
function look(plant: Plant): [number, number, number] {
  const [c, s] = [plant.read('cos'), plant.read('sin')];
  const [a, b] = [plant.read('iAlpha'), plant.read('iBeta')];
  return [c * a + s * b, c * b - s * a, plant.read('airGap')];
}

function settled(we_rad_s: number, duties: readonly number[], h_s: number, more: Overrides = {}): Plant {
  const plant = shorted(we_rad_s, duties, h_s, more);
  while (plant.time_s < SETTLED_S - 1e-9) plant.runPeriod();
  return plant;
}

/** Compares what a short settles at with the equations; the bound is what a coarser step shows of a scheme of order 2. */
function expectSettled(
  we_rad_s: number,
  duties: readonly number[],
  expected: readonly number[],
  decimals: number,
  more: Overrides = {},
): void {
  const fine = look(settled(we_rad_s, duties, 1e-6, more));
  const coarse = look(settled(we_rad_s, duties, 2e-6, more));
  expected.forEach((value, k) => {
    expectNear(fine[k], value, {
      abs: (1.1 * Math.abs(coarse[k] - fine[k])) / 3 + decimals,
      because: 'Richardson estimate of a second-order method, 10 % for the next term, and the decimals of the figure',
    });
  });
}

/** The equations at a resistance [ohm]: id, iq, torque. */
function equations(w: number, r: number): [number, number, number] {
  const { ld_H, lq_H, magnet_Wb, polePairs } = MACHINE_S;
  const d = r * r + w * w * ld_H * lq_H;
  const [id, iq] = [(-w * w * lq_H * magnet_Wb) / d, (-w * r * magnet_Wb) / d];
  return [id, iq, 1.5 * polePairs * (magnet_Wb + (ld_H - lq_H) * id) * iq];
}

describe('terminals shorted by the bridge', () => {
  it.each([
    [1000, [-48.97959, -40.81633, -1.219492]],
    [5000, [-96, -16, -0.56832]],
  ])('carry and brake at %f rad/s: %j A, A, N·m', (we, figures) => {
    expectSettled(we, LOW, figures, 5e-6);
    expectSettled(we, HIGH, figures, 5e-6);
  });

  it('turn all of the power of the shaft into heat of the winding, and take nothing from the link', () => {
    const plant = settled(1000, LOW, 1e-6);
    const before = plant.read('lossCopper');
    const from_s = plant.time_s;
    for (let n = 0; n < 20; n++) plant.runPeriod();
    const heat_W = (plant.read('lossCopper') - before) / (plant.time_s - from_s);
    expectNear(heat_W, 1.219492 * 250, { abs: 1e-3, because: 'six decimals of torque at 250 rad/s; (w h)^2 of 305 W' });
    expect(plant.read('capacitor')).toBe(plant.read('ocv'));
  });

  it('count the switches that short them: low ones with their shunt, high ones without', () => {
    const rds_ohm = 0.01;
    const shunt_ohm = 0.005;
    const more = { bridge: { rds_ohm, shunt_ohm } };
    expectSettled(1000, LOW, equations(1000, 0.05 + rds_ohm + shunt_ohm), 1e-9, more);
    expectSettled(1000, HIGH, equations(1000, 0.05 + rds_ohm), 1e-9, more);
  });

  it('swing on their way there as a decaying vector that stands in the stator', () => {
    const [R, L, W, FLUX] = [0.05, 50e-6, 4000, MACHINE_S.magnet_Wb];
    const round = { winding: { ld_H: L, lq_H: L } };
    const d = R * R + W * W * L * L;
    const end = [(-W * W * L * FLUX) / d, (-W * R * FLUX) / d];
    const [fine, coarse] = [1e-6, 2e-6].map((h_s) => shorted(W, LOW, h_s, round));
    let deepest = 0;
    for (let n = 1; n <= 80; n++) {
      fine.runPeriod();
      coarse.runPeriod();
      const decay = Math.exp((-R / L) * fine.time_s);
      const [c, s] = [decay * Math.cos(W * fine.time_s), -decay * Math.sin(W * fine.time_s)];
      const expected = [end[0] * (1 - c) + end[1] * s, end[1] * (1 - c) - end[0] * s];
      const [at, rough] = [look(fine), look(coarse)];
      for (const k of [0, 1]) {
        expectNear(at[k], expected[k], {
          abs: (1.1 * Math.abs(rough[k] - at[k])) / 3 + 1e-4,
          because: 'Richardson estimate of a second-order method; where its two errors cross zero, 1e-6 of 76 A',
        });
      }
      deepest = Math.min(deepest, at[0]);
    }
    // Half a turn after the short the field is weakened by far more than it settles at: 1 + exp(-pi R / (w L)) of it.
    expect(deepest).toBeLessThan(1.4 * end[0]);
  });
});
