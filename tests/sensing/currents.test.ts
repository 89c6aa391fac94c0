/**
 * What keeps a shunt reading from being the current: time, gain, temperature, reference.
 *
 * Source  first-order step response with a slew limit, straight lines, ratios: by hand. That a low-side shunt reads
 *         nothing in the middle of the high side is common practice, no source.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { settled_V } from '../../src/sensing/amplifier.ts';
import { boardParams } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';
import { one, PER_COUNT, PLAIN, read, VDC } from './rig.ts';

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
    plant.step();
    plant.step();
    expectNear(late, read(plant, {}).ia, one('2 us later the plant is there'));
  });

  it('follows a slope one time constant of the amplifier behind', () => {
    const plant = sloping();
    const behind = read(plant, { settle_s: 2e-6, sampleDelay_s: 4e-6 }).ia;
    expectNear(behind, read(plant, { sampleDelay_s: 2e-6 }).ia, one('the low sides conduct for 75 time constants'));
    expect(Math.abs(behind - read(plant, {}).ia)).toBeGreaterThan(10);
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
