/**
 * What keeps a shunt reading from being the current: time, gain, temperature, reference.
 *
 * Source  first-order step response with a slew limit, straight lines, ratios: by hand. That a low-side shunt reads
 *         nothing in the middle of the high side is common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import { BROKEN } from '../../src/plant/damage.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { settled_V } from '../../src/sensing/amplifier.ts';
import { BENCH_BOARD, type BoardParams, boardParams, currentPerCount_A } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';

const PLAIN: BoardParams = boardParams({
  ...BENCH_BOARD,
  bits: 15,
  noise_counts: 0,
  shuntOffset_counts: [0, 0, 0],
  shuntDrift_counts_K: 0,
  settle_s: 0,
  slew_V_s: 1e9,
  sampleDelay_s: 0,
  jitter_s: 0,
});
const ZERO = 2 ** 14;
const VDC = 18;

/** A locked motor of 40 uH, one period at duty `dA`, `dB`, `dC` behind it; currents as the bridge made them. */
function switched(dA: number, dB: number, dC: number, updates = 1, l_H = 40e-6): Plant {
  const winding = { r_ohm: TINY, ld_H: l_H, lq_H: l_H, magnet_Wb: TINY };
  const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), { bridge: { updates } }));
  const plant = livePlant(drill, 0.5e-6, 0);
  plant.command(7, dA, dB, dC);
  plant.runPeriod();
  plant.runPeriod();
  return plant;
}

function read(plant: Plant, change: Partial<BoardParams>): { ia: number; ib: number; ic: number; trigger: number } {
  const sense = blankSense();
  new Sensors(boardParams({ ...PLAIN, ...change })).sample(plant, sense, false);
  return { ia: sense.ia - ZERO, ib: sense.ib - ZERO, ic: sense.ic - ZERO, trigger: sense.trigger };
}

const PER_COUNT = currentPerCount_A(PLAIN);
const one = (because: string) => ({ abs: 1, because: `one count of rounding; ${because}` });

describe('the moment of the sample', () => {
  /** All lows on, EMF in alpha: the current falls along a straight line. */
  function sloping(): Plant {
    const winding = { r_ohm: TINY, ld_H: 40e-6, lq_H: 40e-6, magnet_Wb: 0.1, polePairs: 1 };
    const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding)));
    const plant = livePlant(drill, 1e-6, -Math.PI / 2);
    plant.command(7, 0, 0, 0);
    set(plant, { rotorSpeed: 40, gates: 7 });
    for (let k = 0; k < 4; k++) plant.runPeriod();
    return plant;
  }
  // EMF 4 V across 40 uH: 0.1 A/us in phase A, half of it back through the others.
  const slope = 0.1e6;

  it('moves the reading along the slope of the current by its delay', () => {
    const plant = sloping();
    const at = read(plant, {}).ia;
    const late = read(plant, { sampleDelay_s: 2e-6 }).ia;
    const expected = (2e-6 * slope) / PER_COUNT;
    expectNear(Math.abs(late - at), expected, one('the EMF turns by 0.008 rad in four periods'));
  });

  it('comes later from channel to channel when they are converted one after the other', () => {
    const plant = sloping();
    const together = read(plant, {});
    const skewed = read(plant, { skew_s: 2e-6 });
    expect(skewed.ia).toBe(together.ia);
    const expected = (2e-6 * slope) / 2 / PER_COUNT;
    expectNear(
      Math.abs(skewed.ib - together.ib),
      expected,
      one('the EMF turns by 0.008 rad in four periods, 1.4 % of the slopes of B and C'),
    );
    expectNear(
      Math.abs(skewed.ic - together.ic),
      2 * expected,
      one('the EMF turns by 0.008 rad in four periods, 1.4 % of the slopes of B and C'),
    );
  });

  it('jitters by its deviation', () => {
    const plant = sloping();
    const sensors = new Sensors(boardParams({ ...PLAIN, jitter_s: 1e-6 }));
    const sense = blankSense();
    const n = 4000;
    let sum = 0;
    let square = 0;
    for (let k = 0; k < n; k++) {
      sensors.sample(plant, sense, false);
      sum += sense.ia;
      square += sense.ia * sense.ia;
    }
    const deviation = Math.sqrt(square / n - (sum / n) ** 2);
    const expected = (1e-6 * slope) / PER_COUNT;
    // Rounding adds 1/12 of a square count.
    const all = Math.hypot(expected, Math.sqrt(1 / 12));
    expectNear(deviation, all, { abs: 0.05 * all, because: 'four standard errors of a deviation from 4000 draws' });
  });

  it('falls into the high side every other update when there are two a period: a low-side shunt sees nothing', () => {
    const plant = switched(0.6, 0.5, 0.4, 2);
    const seen = [];
    for (let k = 0; k < 4; k++) {
      seen.push(read(plant, {}).ia !== 0);
      plant.runPeriod();
    }
    expect(seen).toEqual([true, false, true, false]);
  });
});

describe('a current amplifier', () => {
  it('approaches a step as first order with a slew limit', () => {
    const because = 'the closed form; our own exponential is good to 1e-12';
    expectNear(settled_V(0.5, 1e-6, 1e-6, 1e9), 0.5 * (1 - Math.exp(-1)), { abs: 1e-12, because });
    expectNear(settled_V(-0.5, 2e-6, 1e-6, 1e9), -0.5 * (1 - Math.exp(-2)), { abs: 1e-12, because });
    // 1 V at 1 V/us: slews for 0.9 us to 0.9 V, then 0.1 V is left with a time constant of 0.1 us.
    expectNear(settled_V(1, 0.5e-6, 0.1e-6, 1e6), 0.5, { abs: 1e-12, because });
    expectNear(settled_V(1, 1.1e-6, 0.1e-6, 1e6), 1 - 0.1 * Math.exp(-2), { abs: 1e-12, because });
  });

  it('reads low where the low side conducts for too short a time, and right where it does not', () => {
    // 20 A held by 1 H. The low side of leg A conducts for half of (1 - d) 50 us, less dead time, before the sample.
    const late = (d: number): number => {
      const plant = switched(d, 0.5, 0.5, 1, 1);
      set(plant, { psiAlpha: 20, iAlpha: 20 });
      return read(plant, { settle_s: 0.5e-6, slew_V_s: 1e9 }).ia;
    };
    const full = 20 / PER_COUNT;
    expectNear(late(0.5), full, one('12.5 us are 25 time constants'));
    const half = (1 - Math.exp(-0.5 / 0.5)) * full;
    expectNear(late(0.98), half, one('0.5 us is one time constant'));
    expectNear(late(1), 0, one('the low side never conducts'));
  });

  it('has an error of its gain, an offset that drifts, and counts against a wrong reference', () => {
    const plant = switched(0.5, 0.5, 0.5, 1, 1);
    set(plant, { psiAlpha: 20, iAlpha: 20, sinkHeat: 298.15 + 40 });
    const full = 20 / PER_COUNT;
    expectNear(read(plant, { shuntGainError: [0.03, 0, 0] }).ia, 1.03 * full, one('nothing else'));
    expectNear(read(plant, { shuntDrift_counts_K: 2 }).ia, full + 80, one('nothing else'));
    expectNear(read(plant, { referenceError: 0.02 }).ia, full / 1.02, one('nothing else'));
    // The trigger hangs on the same reference: its ratio stays.
    expect(read(plant, { referenceError: 0.02 }).trigger).toBe(read(plant, {}).trigger);
  });

  it('reads too much when the reference sinks with the link', () => {
    const plant = switched(0.5, 0.5, 0.5, 1, 1);
    set(plant, { psiAlpha: 20, iAlpha: 20 });
    const sunk = read(plant, { dropout_V: 2 * VDC });
    expectNear(sunk.ia, (2 * 20) / PER_COUNT, one('the link is at half of what the regulator needs'));
  });
});

/** 1 H holds the current of leg A, half of it goes back through each of the others; dead time 0.5 us. */
function held(i_A: number, dA: number): Plant {
  const winding = { r_ohm: TINY, ld_H: 1, lq_H: 1, magnet_Wb: TINY };
  const bridge = { bridge: { deadTime_s: 0.5e-6 } };
  const plant = livePlant(drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), bridge)), 0.5e-6, 0);
  plant.command(7, dA, 0.5, 0.5);
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

  it('has room for five time constants only while (1 - d) T / 2 exceeds dead time and settling', () => {
    const settled = (d: number) => 1 - Math.abs(read(held(-20, d), slow).ia) / full;
    // 5 * 0.5 us + 0.5 us = 3 us: d = 1 - 2 * 3 / 50.
    expectNear(settled(0.88), Math.exp(-5), { abs: 1 / full, because: 'one count of rounding' });
    expect(settled(0.87)).toBeLessThan(Math.exp(-5));
    expect(settled(0.89)).toBeGreaterThan(Math.exp(-5));
  });

  it('is as long as a motor coasts when the gates are off and the low diode conducts', () => {
    const plant = held(20, 0.5);
    plant.command(0, 0, 0, 0);
    plant.runPeriod();
    plant.runPeriod();
    expect(plant.read('diodeA')).toBe(-1);
    expectNear(read(plant, slow).ia, full, one('1 H lets go of 1 mA'));
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
