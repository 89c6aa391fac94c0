/**
 * Legs beyond switching: gate supply, warm switches and diodes, heat of edges.
 *
 * Source  by hand: first-order droop, R25 (1 + a dT + b dT^2), V I t / 2 and V Q an edge.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { expectNear } from '../support/near.ts';
import {
  drillWith,
  idealSupply,
  LOCKED,
  linearWinding,
  livePlant,
  merge,
  type Overrides,
  set,
  TINY,
} from '../support/rigs.ts';

const VDC = 18;

/** 20, -10, -10 A in a winding that hardly changes them within a few periods. */
function carrying(bridge: Overrides['bridge']): Plant {
  const l_H = 1;
  const winding = { r_ohm: TINY, ld_H: l_H, lq_H: l_H, magnet_Wb: TINY };
  const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), { bridge: bridge ?? {} }));
  const plant = livePlant(drill, 1e-6);
  const diodes = { diodeA: -1, diodeB: 1, diodeC: 1 };
  set(plant, { psiAlpha: 20 * l_H, iAlpha: 20, ...diodes, dutyA: 0.5, dutyB: 0.5, dutyC: 0.5, gates: 7 });
  plant.command(7, 0.5, 0.5, 0.5);
  plant.runPeriod();
  plant.runPeriod();
  return plant;
}

describe('the gate supply of a high switch', () => {
  it('droops while the low side is off, and in the end lets the switch go until it is charged again', () => {
    const boot = { boot_V: 12, bootLow_V: 8, bootDroop_V_s: 2000, bootCharge_s: 2e-6, gateFull_V: 10 };
    const plant = carrying(boot);
    plant.command(7, 1, 0.5, 0.5);
    const start = plant.time_s;
    plant.runPeriod();
    while (plant.read('onA') === 1) plant.runPeriod();
    // Full at 12 V less what half a period of droop took: 0.05 V.
    expectNear(plant.time_s - start, (12 - 8) / 2000, { abs: 2 * plant.period_s, because: 'looked at once an update' });
    plant.command(7, 0.5, 0.5, 0.5);
    plant.runPeriod();
    plant.runPeriod();
    plant.runPeriod();
    expect(plant.read('bootA')).toBeGreaterThan(11.5);
    for (let n = 0; n < 26; n++) plant.step();
    expect(plant.read('onA')).toBe(1);
  });

  it('makes the switch a poor one before that', () => {
    const boot = {
      rds_ohm: 0.002,
      boot_V: 12,
      bootLow_V: 6,
      bootDroop_V_s: 1000,
      gateFull_V: 10,
      rdsTemp_1_K: 0,
      rdsTemp2_1_K2: 0,
    };
    const plant = carrying(boot);
    plant.command(7, 1, 0.5, 0.5);
    plant.runPeriod();
    while (plant.read('bootA') > 7) plant.runPeriod();
    plant.runPeriod();
    // At 7 V the gate is 4 V above its threshold of 3 V; full conductance needs 7.
    const drop = VDC - plant.read('meanA');
    const i = plant.read('iAlpha');
    expectNear(drop / i, 0.002 * (7 / 4), { abs: 0.002 * 0.03, because: 'the supply fell by 0.1 V on the way' });
  });
});

describe('a warm leg', () => {
  it('has the resistance of its own temperature', () => {
    const ohm = { rds_ohm: 0.01, rdsTemp_1_K: 0.005, rdsTemp2_1_K2: 1e-5, deadTime_s: 0, junction_J_K: 1e9 };
    const loss = (heatA: number): number => {
      const plant = carrying(ohm);
      set(plant, { heatA, heatB: 298.15, heatC: 298.15 });
      plant.runPeriod();
      const before = plant.read('lossSwitch');
      plant.runPeriod();
      return plant.read('lossSwitch') - before;
    };
    // 20 A in leg A, 10 A in the others: two thirds of the loss at equal temperature.
    const factor = 1 + 0.005 * 100 + 1e-5 * 1e4;
    const because = '1 H changes 20 A by 1e-5 of it a period, and the loss warms nothing';
    expectNear(loss(398.15) / loss(298.15), (2 * factor + 1) / 3, { abs: 1e-3, because });
  });

  it('has diodes of a lower threshold', () => {
    const diode = { diode_V: 0.8, diodeTemp_V_K: -0.0013, deadTime_s: 1e-6, junction_J_K: 1e9 };
    const loss = (heat: number): number => {
      const plant = carrying(diode);
      set(plant, { heatA: heat, heatB: heat, heatC: heat });
      plant.runPeriod();
      const before = plant.read('lossDiode');
      plant.runPeriod();
      return plant.read('lossDiode') - before;
    };
    // 40 A in sum through the diodes for 2 us a period; every ampere falls by the threshold.
    const because = 'the current changes by 1e-5 of it a period';
    expectNear(loss(298.15), 0.8 * 40 * 2e-6, { abs: 1e-3 * 6.4e-5, because });
    expectNear(loss(398.15), 0.67 * 40 * 2e-6, { abs: 1e-3 * 5.4e-5, because });
  });

  it('gains V I t / 2 and V Q from its hard edges, and the link loses them', () => {
    const edges = { rise_s: 50e-9, fall_s: 30e-9, recovery_C: 40e-9 };
    const plant = carrying(edges);
    const before = plant.read('lossEdge');
    plant.runPeriod();
    // Every leg has one hard turn-on and one hard turn-off a period.
    const byHand = VDC * (0.5 * (20 + 10 + 10) * 80e-9 + 3 * 40e-9);
    expectNear(plant.read('lossEdge') - before, byHand, { abs: 1e-4 * byHand, because: 'the current hardly changes' });
    expect(plant.read('heatA')).toBeGreaterThan(plant.read('heatB'));
  });
});
