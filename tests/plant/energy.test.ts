/**
 * Field energy and torque belong together, and the audit closes.
 *
 * Source  conservation: for one energy function, 1.5 i dpsi - T dtheta is its change. Gonzalez 1996 (from memory) calls a
 *         mean gradient with that property a discrete gradient.
 */
import { describe, expect, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { slot } from '../../src/plant/slots.ts';
import {
  coggingEnergy,
  currentD,
  currentQ,
  fieldEnergy,
  magnetD_Wb,
  magnetQ_Wb,
  windingMap,
} from '../../src/plant/winding.ts';
import { expectNear } from '../support/near.ts';
import { livePlant, Machine } from '../support/rigs.ts';

const map = windingMap(BENCH_18.winding);

describe('field energy', () => {
  it('falls over the angle by the torque, harmonics included', () => {
    for (let k = 1; k <= 40; k++) {
      const m = new Machine(BENCH_18.winding, {});
      const angle = 0.37 * k;
      // Fluxes of up to some 50 A away from the magnet.
      const psi = [
        map.magnet_Wb * Math.cos(angle) + 5e-4 * Math.sin(1.1 * k),
        map.magnet_Wb * Math.sin(angle) + 5e-4 * Math.cos(2.3 * k),
      ];
      m.put('cos', Math.cos(angle));
      m.put('sin', Math.sin(angle));
      m.put('psiAlpha', psi[0]);
      m.put('psiBeta', psi[1]);
      m.step(0, 0, 1e-10);
      const energy = (a: number) => {
        const [c, s] = [Math.cos(a), Math.sin(a)];
        const x = c * psi[0] + s * psi[1] - magnetD_Wb(map, map.magnet_Wb, c, s);
        return fieldEnergy(map, x, c * psi[1] - s * psi[0] - magnetQ_Wb(map, map.magnet_Wb, c, s));
      };
      const e = 1e-5;
      const slope = (map.polePairs * (energy(angle + e) - energy(angle - e))) / (2 * e);
      const why = 'central difference: e^2 times the third derivative, 1e-8 of the torque, and 0.1 ns of current';
      expectNear(m.get('airGap'), -slope, { abs: 1e-6 * (1 + Math.abs(slope)), because: why });
    }
  });

  it('of cogging comes back to itself after a turn, and has the periods of its orders', () => {
    const at = (mechanical: number) => {
      const [a, q] = [mechanical * map.polePairs, mechanical * map.slots];
      return coggingEnergy(map, Math.cos(a), Math.sin(a), Math.cos(q));
    };
    const why = 'rounding of sums of 1e-3 J';
    expectNear(at(2 * Math.PI + 0.3), at(0.3), { abs: 1e-15, because: why });
    // 12 slots and 8 poles: 15 degrees between two teeth of the lcm order (12s/8p in the table of periods).
    const both = { ...map, cogPoles_Nm: 0, cogSlots_Nm: 0 };
    const period = (15 * Math.PI) / 180;
    const only = (mechanical: number) => {
      const [a, q] = [mechanical * map.polePairs, mechanical * map.slots];
      return coggingEnergy(both, Math.cos(a), Math.sin(a), Math.cos(q));
    };
    expectNear(only(0.1 + period), only(0.1), { abs: 1e-15, because: why });
    expect(Math.abs(only(0.1 + period / 2) - only(0.1))).toBeGreaterThan(1e-5);
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
    const speed = plant.read('rotorSpeed');
    plant.state[slot('rotorSpeed')] += 100;
    const slipped = 0.5 * BENCH_18.shaft.rotor_kgm2 * ((speed + 100) ** 2 - speed ** 2);
    expectNear(plant.energy().residual_J - before, -slipped, {
      abs: 1e-9,
      because: 'the kinetic energy that was slipped in, by hand',
    });
  });
});
