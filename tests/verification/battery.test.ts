/**
 * Pulse on a cell with two RC pairs.
 *
 * Source  Chen, Rincon-Mora, "Accurate electrical battery model capable of predicting runtime and I-V performance", IEEE
 *         Trans. Energy Convers. 21(2), 2006: coefficients as read in three public copies, frozen at half charge.
 *         Values by the closed form; ngspice 39 gives 3.772928, 3.767798 and 3.753200 V at 1, 10 and 60 s.
 *         OCV points of the preset: repository derlucae98/US18650VTC6_OCV_SOC_Curve.
 */
import { describe, it } from 'vitest';
import { BENCH_18 } from '../../src/plant/presets/bench-18.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { beginSupply, cellOcv_V, cellResistance_ohm, endSupply, startPack } from '../../src/plant/supply.ts';
import { WORK_LENGTH, work } from '../../src/plant/work.ts';
import { expectNear } from '../support/near.ts';
import { ALIKE, drillWith } from '../support/rigs.ts';

const I_A = 0.4;
const drill = drillWith({
  pack: {
    series: 1,
    capacity_As: 850 * 3.6,
    charge: 0.5,
    ocvCharge: [0, 1],
    ocvCell_V: [3.803362, 3.803362 + 1e-12],
    r0_ohm: 0.074461,
    r0AtEmpty: 0,
    r0Cold_K: 0,
    ...ALIKE,
    leads_ohm: 1e-12,
    r1_ohm: 0.04669,
    c1_F: 702.723,
    r2_ohm: 0.04984,
    c2_F: 4474.992,
  },
});

/** State and scratch of a pack from which a steady current flows for t_s, by the supply of the plant. */
function drained(p: typeof drill, i_A: number, t_s: number, h_s: number): Float64Array {
  const x = new Float64Array(SLOTS.length);
  const w = new Float64Array(WORK_LENGTH);
  w[work('period')] = h_s;
  startPack(x, p.pack);
  x[slot('packMean')] = i_A;
  x[slot('cellHeat')] = 298.15;
  x[slot('ambient')] = 298.15;
  const updates = Math.round(t_s / h_s);
  for (let k = 0; k < updates; k++) {
    beginSupply(x, w, p.pack, p.link);
    x[slot('sumCharge')] = i_A * h_s;
    endSupply(x, w, p.pack);
    x[slot('tick')] += 1;
  }
  return x;
}

/** Terminal voltage after t_s of a steady current. */
function terminal_V(t_s: number, h_s: number): number {
  const x = drained(drill, I_A, t_s, h_s);
  const ohm = cellResistance_ohm(drill.pack, 0.5, 298.15) + drill.pack.leads_ohm;
  return 3.803362 - x[slot('rc1')] - x[slot('rc2')] - I_A * ohm;
}

describe('battery', () => {
  it.each([
    [0, 3.7735782],
    [1, 3.7729283],
    [10, 3.7677975],
    [60, 3.7531996],
    [600, 3.7363191],
  ])('shows the published cell %f s into a pulse of 0.4 A', (t_s, expected) => {
    // Parameters carry six digits: 1e-6 V on the OCV, 5e-7 ohm times 0.4 A on each resistance.
    expectNear(terminal_V(t_s, 1e-3), expected, { abs: 2e-6, because: 'six digits of the frozen parameters' });
  });

  it('loses a factor 4 of error when the update is halved', () => {
    const { r1_ohm, c1_F, r2_ohm, c2_F, r0_ohm } = drill.pack;
    const pair = (r: number, c: number) => r * (1 - Math.exp(-60 / (r * c)));
    const exact = 3.803362 - I_A * (r0_ohm + pair(r1_ohm, c1_F) + pair(r2_ohm, c2_F));
    const [coarse, fine] = [1, 0.5].map((h_s) => terminal_V(60, h_s) - exact);
    expectNear(Math.log2(coarse / fine), 2, {
      abs: 0.02,
      because: 'order 2; the next term is a quarter of h over 33 s: 0.8 % of the error',
    });
  });

  it('takes exactly 0.04 of 2.5 Ah with 10 A for 36 s', () => {
    const p = drillWith({ pack: { ...drill.pack, capacity_As: 2.5 * 3600 } });
    const x = drained(p, 10, 36, 1e-3);
    expectNear(0.5 - x[slot('charge')], 0.04, { abs: 1e-12, because: '36 000 roundings of 1e-16 each' });
  });

  it('follows the measured cell within 1 mV at its points and rises between them', () => {
    const points = [
      [0.01, 2.76],
      [0.202, 3.416],
      [0.503, 3.756],
      [0.8, 4.037],
      [1, 4.175],
    ];
    for (const [s, v] of points) {
      expectNear(cellOcv_V(BENCH_18.pack, s), v, { abs: 1e-3, because: 'resolution of the measured table' });
    }
    let last = 0;
    for (let s = 0.002; s <= 1; s += 1e-3) {
      const v = cellOcv_V(BENCH_18.pack, s);
      if (v <= last) throw new Error(`OCV falls at ${s}`);
      last = v;
    }
  });
});
