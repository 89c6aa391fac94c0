/**
 * Every preset: sources for every number, values that fit each other, and a plant that runs on them.
 *
 * Source  chuck speed without load, low gear 400 to 550 rpm, high gear 1500 to 2100 rpm: from memory. A stage of a
 *         planetary gear with three planets: ring = sun + 2 planets, (sun + ring) / 3 whole (from memory).
 */
import { describe, expect, it } from 'vitest';
import { circuitOf } from '../../src/plant/describe/circuit.ts';
import { sheetOf } from '../../src/plant/describe/sheet.ts';
import { type DrillParams, GROUPS } from '../../src/plant/params.ts';
import { Plant } from '../../src/plant/plant.ts';
import { derive } from '../../src/plant/presets/derive.ts';
import { PRESETS, presetNames } from '../../src/plant/presets/index.ts';
import { requireStable } from '../../src/plant/stability.ts';
import { toDisplay } from '../../src/units/convert.ts';
import { expectNear } from '../support/near.ts';

const DECLARED = Object.entries(GROUPS).flatMap(([group, bands]) => Object.keys(bands).map((key) => `${group}.${key}`));

/** Chuck speed [rpm] that the sheet states for a figure. */
function chuck_rpm(drill: DrillParams, id: string): number {
  const figure = sheetOf(drill)
    .sections.flatMap(({ figures }) => figures)
    .find((f) => f.id === id);
  return toDisplay(figure?.value ?? Number.NaN, 'rpm');
}

describe.each(presetNames())('preset %s', (name) => {
  const drill = PRESETS[name];

  it('says for every number, and only for those, where it comes from', () => {
    expect(Object.keys(drill.sources).sort()).toEqual([...DECLARED].sort());
    for (const path of DECLARED) expect(drill.sources[path].trim().length, path).toBeGreaterThan(3);
  });

  it('is named as it is listed and has a title of its own', () => {
    expect(drill.name).toBe(name);
    expect(presetNames().filter((other) => PRESETS[other].title === drill.title)).toEqual([name]);
  });

  it('is stable at a step of 1 µs', () => {
    expect(() => requireStable(drill, 1e-6)).not.toThrow();
  });

  it('has a chuck as fast as the trade makes them, by either kind of drive', () => {
    for (const kind of ['block', 'sine']) {
      expect(chuck_rpm(drill, `${kind}Low_rad_s`), kind).toBeGreaterThan(400);
      expect(chuck_rpm(drill, `${kind}Low_rad_s`), kind).toBeLessThan(550);
      expect(chuck_rpm(drill, `${kind}High_rad_s`), kind).toBeGreaterThan(1500);
      expect(chuck_rpm(drill, `${kind}High_rad_s`), kind).toBeLessThan(2100);
    }
  });

  it('has the flux that its speed without load asks for', () => {
    const c = circuitOf(drill);
    const flux = drill.winding.polePairs * c.magnet_Wb;
    const speed = c.nominal_V / Math.sqrt(3) / flux;
    const figures = sheetOf(drill).sections.flatMap((s) => s.figures);
    const sine = figures.find(({ id }) => id === 'sine_rad_s')?.value ?? 0;
    const because = 'friction takes 1 to 2 A through some tens of milliohms: below 3 % of the voltage';
    expectNear(sine / speed, 1, { abs: 0.03, because });
    expect(sine).toBeLessThan(speed);
  });

  it('has gears that three planets fit into', () => {
    const { sunTeeth, ringTeeth } = drill.gear;
    sunTeeth.forEach((sun, k) => {
      expect((ringTeeth[k] - sun) % 2, `planets of stage ${k + 1}`).toBe(0);
      expect((ringTeeth[k] + sun) % 3, `three planets in stage ${k + 1}`).toBe(0);
    });
  });

  it('runs a screw for 50 ms with its books closed, whole and finite', () => {
    const plant = new Plant(drill, { seed: 3, h_s: 1e-6, rotorAngle_rad: 0.4 });
    plant.hands.set('trigger', 1);
    plant.hands.set('meets', 1);
    const legs = [0, 1, 2, 1, 0, 0, 2];
    const lows = [0, 2, 0, 0, 1, 2, 1];
    while (plant.time_s < 0.05) {
      const hall = plant.read('hall');
      const duty = [0, 0, 0];
      duty[legs[hall]] = 0.5;
      plant.command((1 << legs[hall]) | (1 << lows[hall]), duty[0], duty[1], duty[2]);
      plant.runPeriod();
    }
    expect(plant.fault).toBe('');
    expect(Math.abs(plant.energy().share)).toBeLessThan(1e-6);
    expect(plant.energy().passed_J).toBeGreaterThan(1);
    expect(plant.read('protection')).toBe(0);
    expect(plant.read('fluxLost')).toBe(0);
    expect(plant.read('depth')).toBeGreaterThan(5e-4);
    expect(plant.state.every(Number.isFinite)).toBe(true);
  });
});

describe('a drill derived from another', () => {
  const base = PRESETS['bench-18'];

  it('takes value and source together and leaves the other drill as it was', () => {
    const made = derive(base, 'own', 'Own', { 'winding.r_ohm': [0.02, 'measured'] });
    expect(made.winding.r_ohm).toBe(0.02);
    expect(made.sources['winding.r_ohm']).toBe('measured');
    expect(base.winding.r_ohm).toBe(0.008);
    expect(base.sources['winding.r_ohm']).not.toBe('measured');
  });

  it('refuses what no group has, and what is out of its band, by name', () => {
    expect(() => derive(base, 'own', 'Own', { 'motor.r_ohm': [1, ''] })).toThrow(/'motor.r_ohm'.*groups are pack/);
    expect(() => derive(base, 'own', 'Own', { 'winding.ohm': [1, ''] })).toThrow(/winding.ohm is no parameter/);
    expect(() => derive(base, 'own', 'Own', { 'pack.series': [40, ''] })).toThrow(/pack.series is 40; allowed is 1/);
  });
});
