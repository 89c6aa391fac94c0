/**
 * When a low-side shunt can be read: the window between its edges, dead times, diodes, a shorted leg, PWM frequencies.
 *
 * Source  first-order approach and return, triangular ripple: by hand. That a shunt under a low switch needs a least time
 *         (1 - d) T for dead time, settling and sampling is common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';
import { one, PER_COUNT, PLAIN, read, VDC, ZERO } from './rig.ts';

/** 1 H holds the current of leg A, half of it goes back through each of the others; dead time 0.5 us. */
function held(i_A: number, dA: number, updates = 1): Plant {
  const winding = { r_ohm: TINY, ld_H: 1, lq_H: 1, magnet_Wb: TINY };
  const bridge = { bridge: { deadTime_s: 0.5e-6, updates } };
  const plant = livePlant(drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), bridge)), 0.5e-6, 0);
  plant.command(7, dA, 0.5, 0.5);
  // The first period passes before the command counts, the second begins with a dead time in which nothing conducts.
  plant.runPeriod();
  plant.runPeriod();
  set(plant, { psiAlpha: i_A, iAlpha: i_A });
  plant.runPeriod();
  return plant;
}

describe('the window of a low side', () => {
  const slow = { settle_s: 0.5e-6, slew_V_s: 1e9 };
  const full = 20 / PER_COUNT;
  // Duty 0.96 of 50 us: the high gate is off for 1 us on either side of the sample.
  it('begins at the end of the dead time when current flows into the leg, and a dead time earlier when it flows out', () => {
    expectNear(read(held(20, 0.96), slow).ia, (1 - Math.exp(-2)) * full, one('the diode conducts for 1 us before'));
    expectNear(
      read(held(-20, 0.96), slow).ia,
      -(1 - Math.exp(-1)) * full,
      one('the switch conducts for 0.5 us before'),
    );
  });

  it('ends where the low gate turns off, or a dead time later: a sample that comes after it finds the output on its way back', () => {
    const into = (delay_s: number) => read(held(-20, 0.96), { ...slow, sampleDelay_s: delay_s }).ia;
    // 1.5 us from the end of the dead time to the edge, then back towards zero.
    expectNear(into(0.75e-6), -(1 - Math.exp(-2.5)) * full, one('still within'));
    expectNear(into(1.5e-6), -(1 - Math.exp(-3)) * Math.exp(-1) * full, one('0.5 us beyond the edge'));
    const out = (delay_s: number) => read(held(20, 0.96), { ...slow, sampleDelay_s: delay_s }).ia;
    expectNear(out(1.5e-6), (1 - Math.exp(-5)) * full, one('the diode still conducts'));
    expectNear(out(2e-6), (1 - Math.exp(-5)) * Math.exp(-1) * full, one('0.5 us after the high gate turned on'));
  });

  it('is open again after the high side, to the end of the period', () => {
    for (const updates of [1, 2]) {
      const plant = held(20, 0.4, updates);
      expect(plant.read('half'), 'the third update is a second half').toBe(updates - 1);
      // High until 35 us of the period, low from there on; a rise in the first half would be at 15 us.
      const high_s = updates === 1 ? 35e-6 : 10e-6;
      while (plant.read('inPeriod') < high_s + 2e-6) plant.step();
      expectNear(read(plant, { sampleDelay_s: 5e-6 }).ia, full, one('nothing changes before the end'));
    }
  });

  it('has room for five time constants only while (1 - d) T / 2 exceeds dead time and settling', () => {
    const settled = (d: number) => 1 - Math.abs(read(held(-20, d), slow).ia) / full;
    // 5 * 0.5 us + 0.5 us = 3 us: d = 1 - 2 * 3 / 50.
    expectNear(settled(0.88), Math.exp(-5), { abs: 1 / full, because: 'one count of rounding' });
    expect(settled(0.87)).toBeLessThan(Math.exp(-5));
    expect(settled(0.89)).toBeGreaterThan(Math.exp(-5));
  });

  it('stays open while the gates are off and the low diode conducts', () => {
    const plant = held(20, 0.5);
    // A duty without its gate raises nothing, 0.5 us after the middle or ever.
    plant.command(0, 0.98, 0.5, 0.5);
    plant.runPeriod();
    plant.runPeriod();
    expect(plant.read('diodeA')).toBe(-1);
    expectNear(read(plant, { ...slow, sampleDelay_s: 3e-6 }).ia, full, one('1 H lets go of 1 mA'));
    expect([read(plant, slow).ib, read(plant, slow).ic], 'their high diodes conduct').toEqual([0, 0]);
  });
});

describe('a leg whose high switch is shorted', () => {
  it('drives the reading to its end as soon as its low switch turns on', () => {
    const plant = livePlant(BENCH_18, 1e-6, 0);
    plant.command(7, 0, 0, 0);
    plant.runPeriod();
    plant.runPeriod();
    expectNear(read(plant, {}).ia, 0, one('no current before'));
    plant.damage.set('legA', BROKEN.highShort);
    plant.runPeriod();
    // 18 V over two switches and a shunt of mOhm is more than the 165 A of the range.
    expect(read(plant, {}).ia).toBe(-ZERO);
  });
});

describe('the middle of the low side', () => {
  /** A ripple that repeats: the EMF equals the mean voltage of the duties. Steps end at every edge. */
  function rippling(pwm_Hz: number, updates: number): Plant {
    const duties = [0.6, 0.5, 0.4] as const;
    const lambda_Wb = 1e5;
    const winding = { polePairs: 1, r_ohm: TINY, ld_H: 40e-6, lq_H: 40e-6, magnet_Wb: lambda_Wb };
    const alpha = (VDC * (2 * duties[0] - duties[1] - duties[2])) / 3;
    const beta = (VDC * (duties[1] - duties[2])) / Math.sqrt(3);
    const bridge = { bridge: { pwm_Hz, updates } };
    const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), bridge));
    const plant = livePlant(drill, 0.5e-6, Math.atan2(beta, alpha) - Math.PI / 2);
    set(plant, { rotorSpeed: Math.hypot(alpha, beta) / lambda_Wb });
    plant.command(7, ...duties);
    for (let k = 0; k < 2 * updates; k++) plant.runPeriod();
    return plant;
  }

  /** Mean of the current of leg A over a whole PWM period [A]: straight lines between the steps. */
  function mean_A(plant: Plant, updates: number): number {
    const end = plant.tick + updates;
    const from = plant.time_s;
    let area = 0;
    while (plant.tick < end) {
      const [t, i] = [plant.time_s, plant.read('iAlpha')];
      plant.step();
      area += 0.5 * (plant.read('iAlpha') + i) * (plant.time_s - t);
    }
    return area / (plant.time_s - from);
  }

  it.each([
    [8000, 1],
    [8000, 2],
    [16_000, 2],
    [20_000, 1],
    [20_000, 2],
    [40_000, 1],
    [40_000, 2],
  ])(
    'reads the mean of the period at %d Hz, %d updates; half a period later there is nothing to read',
    (hz, updates) => {
      const plant = rippling(hz, updates);
      // A ripple of 0.9 A at 20 kHz has 1000 counts and more with this gain.
      const fine = { shuntGain: 2000 };
      const perCount = currentPerCount_A(boardParams({ ...PLAIN, ...fine }));
      set(plant, { iAlpha: plant.read('iAlpha') + 0.3, psiAlpha: plant.read('psiAlpha') + 0.3 * 40e-6 });
      const at = read(plant, fine).ia;
      if (updates === 2) {
        const between = rippling(hz, updates);
        between.runPeriod();
        expect(between.read('onA')).toBe(1);
        expect(read(between, fine).ia).toBe(0);
      }
      expect(Math.abs(at)).toBeGreaterThan(300);
      expectNear(at, mean_A(plant, updates) / perCount, one('the EMF turns by less than 1e-4 rad in the period'));
    },
  );
});
