/**
 * Field energy and torque belong together, and the audit closes.
 *
 * Source  conservation: for one energy function, 1.5 i dpsi - T dtheta is its change. Gonzalez 1996 (from memory) calls a
 *         mean gradient with that property a discrete gradient.
 */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { turnFrame } from '../../src/plant/shaft.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import {
  currentD,
  currentQ,
  fieldEnergy,
  meanCurrentAndTorque,
  startWinding,
  windingMap,
} from '../../src/plant/winding.ts';
import { WORK_LENGTH, work } from '../../src/plant/work.ts';
import { expectNear } from '../support/near.ts';
import { livePlant } from '../support/rigs.ts';

const map = windingMap(BENCH_18.winding);

describe('field energy', () => {
  it('grows by exactly what the mean current and the mean torque deliver, for any step', () => {
    for (let k = 1; k <= 50; k++) {
      const x = new Float64Array(SLOTS.length);
      const w = new Float64Array(WORK_LENGTH);
      const angle = 0.37 * k;
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      // Fluxes of up to some 100 A away from the magnet, turns of up to 0.5 rad: far larger than a step makes.
      const flux = (a: number, b: number) => [
        map.magnet_Wb * c + 1e-3 * Math.sin(a * k),
        map.magnet_Wb * s + 1e-3 * Math.cos(b * k),
      ];
      const [pa0, pb0] = flux(1.1, 2.3);
      const [pa1, pb1] = flux(1.7, 0.9);
      x[slot('cos')] = c;
      x[slot('sin')] = s;
      x[slot('psiAlpha')] = pa0;
      x[slot('psiBeta')] = pb0;
      x[slot('rotorSpeed')] = 0.1 * Math.sin(k);
      w[work('rotor1')] = 0.1 * Math.cos(k);
      const dt = 1;
      startWinding(x, w, map);
      w[work('dt')] = dt;
      turnFrame(x, w, map.polePairs);
      w[work('psiAlpha')] = pa1;
      w[work('psiBeta')] = pb1;
      meanCurrentAndTorque(x, w, map);
      const turned = 0.5 * dt * (x[slot('rotorSpeed')] + w[work('rotor1')]);
      const given =
        1.5 * (w[work('iAlpha')] * (pa1 - pa0) + w[work('iBeta')] * (pb1 - pb0)) - w[work('airGap')] * turned;
      const [c1, s1] = [w[work('cos1')], w[work('sin1')]];
      const before = fieldEnergy(map, w[work('x0d')], w[work('x0q')]);
      const after = fieldEnergy(map, c1 * pa1 + s1 * pb1 - map.magnet_Wb, c1 * pb1 - s1 * pa1);
      const why = 'the series of sine and cosine end at 1e-13 for a turn of this size; rounding is below that';
      expectNear(given, after - before, { abs: 1e-11 * (before + after), because: why });
    }
  });

  it('has reciprocal inductances everywhere', () => {
    const e = 1e-7;
    for (let x = -1e-3; x <= 1e-3; x += 2e-4) {
      for (let q = -1e-3; q <= 1e-3; q += 2e-4) {
        const dq = (currentD(map, x, q + e) - currentD(map, x, q - e)) / (2 * e);
        const qd = (currentQ(map, x + e, q) - currentQ(map, x - e, q)) / (2 * e);
        expectNear(dq, qd, {
          abs: 1e-2,
          because: 'central differences of a cubic: e^2 times 1e10, and rounding over e',
        });
      }
    }
  });

  it('tells north from south and keeps saliency at full torque', () => {
    const inverse = (x: number) => map.gd + x * (2 * map.satD2 + 3 * map.satD3 * x);
    const fluxAt = (id: number) => {
      let x = id / map.gd;
      for (let k = 0; k < 20; k++) x -= (currentD(map, x, 0) - id) / inverse(x);
      return x;
    };
    const drop = 1 - map.gd / inverse(fluxAt(60));
    expect(drop).toBeGreaterThan(0.1);
    // 80 A on the q axis, id = 0: solve both, then look at the incremental inverse inductances.
    let [x, q] = [0, 80 / map.gq];
    for (let k = 0; k < 50; k++) {
      const gqq = map.gq + 3 * map.satQ3 * q * q + 2 * map.satCross * x;
      x -= currentD(map, x, q) / inverse(x);
      q -= (currentQ(map, x, q) - 80) / gqq;
    }
    const gqq = map.gq + 3 * map.satQ3 * q * q + 2 * map.satCross * x;
    const saliency = inverse(x) - gqq;
    expect(saliency).toBeGreaterThan(8000);
    expect(inverse(x) / gqq).toBeGreaterThan(1.1);
    expect(Math.abs(2 * map.satCross * q)).toBeLessThan(0.3 * saliency);
  });
});

describe('energy audit', () => {
  it('closes to 1e-6 of what passed through start, six-step run and coast', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.3);
    const table: Record<number, readonly [number, number]> = {
      1: [1, 2],
      3: [1, 0],
      2: [2, 0],
      6: [2, 1],
      4: [0, 1],
      5: [0, 2],
    };
    const stored = plant.energy().residual_J;
    for (let k = 0; k < 4000; k++) {
      const [high, low] = table[plant.read('hall')];
      const duty = [0, 0, 0];
      duty[high] = Math.min(0.9, k * 1e-3);
      if (k < 3000) plant.command((1 << high) | (1 << low), duty[0], duty[1], duty[2]);
      else plant.command(0, 0, 0, 0);
      plant.runPeriod();
    }
    const { passed_J, residual_J } = plant.energy();
    expect(passed_J).toBeGreaterThan(20);
    const why = 'three fixed-point passes leave 1e-9 of the current; splits at current zeros leave the rest';
    expectNear((residual_J - stored) / passed_J, 0, { abs: 1e-6, because: why });
  });

  it('is not blind: a joule that vanishes shows', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0.3);
    for (let k = 0; k < 100; k++) plant.runPeriod();
    const before = plant.energy().residual_J;
    plant.state[slot('rotorSpeed')] += 100;
    expectNear(plant.energy().residual_J - before, -0.5 * BENCH_18.shaft.rotor_kgm2 * 1e4, {
      abs: 1e-9,
      because: 'the kinetic energy that was slipped in, by hand',
    });
  });
});
