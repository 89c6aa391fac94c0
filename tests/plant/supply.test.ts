/**
 * Pack, contact and link when things go wrong: protection, bounce, weak and cold cells, a link pumped up until the
 * switches avalanche.
 *
 * Source  energy and Ohm's law by hand; resistance over temperature as exp(B (1/T - 1/298.15)), evaluated by hand.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { PROTECTIONS } from '../../src/plant/supply.ts';
import { expectNear } from '../support/near.ts';
import { ALIKE, drillWith, LOCKED, livePlant, merge, type Overrides, set } from '../support/rigs.ts';

/** A locked motor under direct current: some 30 A out of the pack. */
function loaded(overrides: Overrides): Plant {
  const winding = { r_ohm: 0.2 };
  const plant = livePlant(drillWith(merge({ pack: ALIKE, winding }, LOCKED, overrides)), 1e-6, 0);
  plant.command(7, 0.95, 0.05, 0.05);
  return plant;
}

/** Runs until `done` or the time is over; the time when it ended. */
function until(plant: Plant, done: () => boolean, most_s: number): number {
  const end = plant.time_s + most_s;
  while (plant.time_s < end && !done()) plant.runPeriod();
  return plant.time_s;
}

const why = (plant: Plant) => PROTECTIONS[plant.read('protection')];

describe('the protection of the pack', () => {
  it('opens on current after its delay, and stays open until the trigger is let go', () => {
    const plant = loaded({ pack: { overCurrent_A: 20, overCurrentDelay_s: 0.005 } });
    const over = until(plant, () => plant.read('packMean') > 20, 0.01);
    const opened = until(plant, () => plant.read('protection') !== 0, 0.02);
    expect(why(plant)).toBe('over-current');
    expectNear(opened - over, 0.005, { abs: 2 * plant.period_s, because: 'the protection looks once an update' });
    until(plant, () => false, 0.05);
    expect(why(plant)).toBe('over-current');
    expect(plant.read('packCurrent')).toBe(0);
    plant.hands.set('trigger', 0);
    plant.runPeriod();
    plant.hands.set('trigger', 1);
    until(plant, () => false, 0.003);
    expect(why(plant)).toBe('closed');
    expect(plant.read('packMean')).toBeGreaterThan(20);
  });

  it('does not open on a current that is too short', () => {
    const plant = loaded({ pack: { overCurrent_A: 20, overCurrentDelay_s: 0.005 } });
    until(plant, () => plant.read('packMean') > 20, 0.01);
    until(plant, () => false, 0.004);
    plant.command(0, 0, 0, 0);
    until(plant, () => false, 0.02);
    expect(why(plant)).toBe('closed');
  });

  it('opens for one weak cell, although the pack still has voltage', () => {
    const plant = loaded({ pack: { cellDelay_s: 0.01 } });
    set(plant, { cell0: 0.004 });
    expect(plant.read('ocv')).toBeGreaterThan(17);
    until(plant, () => plant.read('protection') !== 0, 0.05);
    expect(why(plant)).toBe('cell low');
  });

  it('opens when the cells are hot, or one of them is charged too high', () => {
    const hot = loaded({});
    set(hot, { cellHeat: 345 });
    until(hot, () => hot.read('protection') !== 0, 0.001);
    expect(why(hot)).toBe('hot');
    const plant = loaded({ pack: { cellHigh_V: 4.01, cellDelay_s: 0.01 } });
    plant.command(0, 0, 0, 0);
    until(plant, () => plant.read('protection') !== 0, 0.05);
    expect(why(plant)).toBe('cell high');
  });
});

describe('cells', () => {
  it('have more resistance in the cold and when empty', () => {
    const pack = { ...ALIKE, r0_ohm: 0.01, r0AtEmpty: 1.5, r0Fades: 0.06, r0Cold_K: 2000, leads_ohm: 1e-12 };
    const cells = (charge: number, heat: number): number => {
      const plant = livePlant(drillWith({ pack: { ...pack, charge } }), 1e-6, 0);
      set(plant, { cellHeat: heat });
      return plant.read('packOhm') / 5;
    };
    const because = 'our own exponential is good to 1e-12';
    expectNear(cells(1, 298.15), 0.01, { abs: 1e-8, because: 'of a full cell exp(-1/0.06) is left, 6e-8' });
    expectNear(cells(1, 273.15) / cells(1, 298.15), 1.847718, { abs: 1e-6, because });
    expectNear(cells(0.06, 298.15), 0.01 * (1 + 1.5 * Math.exp(-1)), { abs: 1e-12, because });
  });

  it('differ by their spread: the weaker ones run empty first', () => {
    const plant = livePlant(drillWith({ pack: { chargeSpread: 0.02, capacitySpread: 0.03 } }), 1e-6, 0);
    const charges = [0, 1, 2, 3, 4].map((k) => plant.read(`cell${k}`));
    expect(new Set(charges).size).toBe(5);
    for (const charge of charges)
      expectNear(charge, 0.8, { abs: 0.07, because: 'the generator ends at 3.47 deviations' });
  });
});

describe('the trigger contact', () => {
  it('bounces as often as the preset says, and then stays closed', () => {
    const plant = livePlant(drillWith({ pack: { bounces: 4, bounce_s: 0.004 } }), 1e-6, 0);
    set(plant, { contactWant: 0, contact: 0 });
    let opened = 0;
    for (let before = 0; plant.time_s < 0.006; ) {
      plant.runPeriod();
      const now = plant.read('contact');
      if (now < before) opened++;
      before = now;
    }
    expect(opened).toBe(4);
    expect(plant.read('contact')).toBe(1);
  });
});

describe('a link without a way back into the pack', () => {
  it('is pumped up by the motor until the switches avalanche; every joule is booked', () => {
    const plant = livePlant(drillWith({ shaft: { rotor_kgm2: 2e-5 } }), 1e-6, 0);
    plant.hands.set('trigger', 0);
    plant.hands.set('gear', 0);
    plant.command(0, 0, 0, 0);
    // Line-to-line EMF of some 60 V, as a fault in the gearbox or a lathe could drive it.
    set(plant, { rotorSpeed: 60 / (Math.sqrt(3) * 4 * 1.15e-3), contactWant: 0, engaged: 0 });
    const before = plant.energy();
    let highest = 0;
    while (plant.time_s < 0.05) {
      plant.step();
      highest = Math.max(highest, plant.read('link'));
    }
    while (plant.read('inPeriod') !== 0) plant.step();
    expect(plant.read('avalanches')).toBeGreaterThan(0);
    const { avalanche_V, avalanche_ohm } = plant.params.bridge;
    expect(highest).toBeGreaterThan(avalanche_V);
    // What the winding can push at most: the EMF above the avalanche over two phases.
    expect(highest).toBeLessThan(avalanche_V + (avalanche_ohm * (60 - avalanche_V)) / (2 * 0.008));
    const after = plant.energy();
    expect(after.accounts.avalanche).toBeGreaterThan(1);
    const lost = before.accounts['growth of what is stored'] - after.accounts['growth of what is stored'];
    const heat = Object.entries(after.accounts).reduce(
      (sum, [name, value]) => (name === 'growth of what is stored' ? sum : sum + value - before.accounts[name]),
      0,
    );
    expectNear(heat, lost, { abs: 1e-6 * lost, because: 'the bound of every run: what the rotor lost became heat' });
  });
});
