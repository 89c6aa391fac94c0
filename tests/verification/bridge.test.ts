/**
 * Dead time and sampling instant of a centre-aligned bridge.
 *
 * Source  average pole error -sign(i) Vdc td fs: public control-library documentation on docs.rs states it in essence;
 *         Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991 (from memory). With drops the means 8.7845 and 9.2155 V were
 *         found by ngspice 39 on the same half bridge. Ripple values: straight lines by hand.
 */
import { describe, expect, it } from 'vitest';
import type { DrillParams } from '../../src/plant/params.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { blankSense } from '../../src/protocol/codec.ts';
import { boardParams, currentPerCount_A, currentZero_counts } from '../../src/sensing/board.ts';
import { Sensors } from '../../src/sensing/sensors.ts';
import { expectNear } from '../support/near.ts';
import { PLAIN_BOARD } from '../support/plain-board.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../support/rigs.ts';

const VDC = 18;

/** Mean pole voltages of one period at duty 0.5 with 10, -5, -5 A in a winding that hardly changes them. */
function polesAtHalf(bridge: Partial<DrillParams['bridge']>): number[] {
  const l_H = 1; // a henry: 18 V for 50 us move the current by less than 1 mA
  const winding = { r_ohm: TINY, ld_H: l_H, lq_H: l_H, magnet_Wb: TINY };
  const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), { bridge }));
  const plant = livePlant(drill, 1e-6);
  // The current comes from diodes: legs that block would put it out.
  const diodes = { diodeA: -1, diodeB: 1, diodeC: 1 };
  set(plant, { psiAlpha: 10 * l_H, iAlpha: 10, ...diodes, dutyA: 0.5, dutyB: 0.5, dutyC: 0.5, gates: 7 });
  plant.command(7, 0.5, 0.5, 0.5);
  // The legs wake up in the second period, with a dead time of their own; the third one is like all that follow.
  for (let k = 0; k < 3; k++) plant.runPeriod();
  return [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')];
}

describe('dead time', () => {
  it('costs Vdc td fs = 0.18 V against the sign of the current', () => {
    const [a, b, c] = polesAtHalf({ deadTime_s: 500e-9 });
    const why = 'exact edges: only rounding and 1 mA of current change on a lossless bridge are left';
    expectNear(a, 8.82, { abs: 1e-9, because: why });
    expectNear(b, 9.18, { abs: 1e-9, because: why });
    expectNear(c, 9.18, { abs: 1e-9, because: why });
  });

  it('adds the drops of switch and diode as a circuit simulator does', () => {
    const drops = { deadTime_s: 500e-9, rds_ohm: 0.002, rdsTemp_1_K: 0, rdsTemp2_1_K2: 0, diode_V: 0.62 };
    const [a] = polesAtHalf(drops);
    // 49 us a period on a switch, 1 us on the low diode, by hand.
    expectNear(a, 8.82 - (0.02 * 49 + 0.62) / 50, {
      abs: 5e-6,
      because: 'exact algebra; the current changes by up to 2 mA, and 2 mohm make 4 uV of that',
    });
    expectNear(a, 8.7845, { abs: 5e-3, because: 'ngspice smooths its edges and its diode is a curve, not 0.62 V' });
  });

  it('vanishes with a dead time of zero', () => {
    for (const v of polesAtHalf({ deadTime_s: 0 })) {
      expectNear(v, 9, { abs: 1e-9, because: 'exact edges' });
    }
  });
});

describe('sampling instant', () => {
  const LAMBDA = 10;
  const duties = [0.6, 0.5, 0.4] as const;
  /** Every edge of these duties lies on a grid of 0.5 us. */
  const H_S = 0.5e-6;

  /** A plant whose EMF equals the mean voltage of the duties, so that the ripple repeats from period to period. */
  function rippling(): Plant {
    const winding = { polePairs: 1, r_ohm: TINY, ld_H: 40e-6, lq_H: 40e-6, magnet_Wb: LAMBDA };
    const alpha = (VDC * (2 * duties[0] - duties[1] - duties[2])) / 3;
    const beta = (VDC * (duties[1] - duties[2])) / Math.sqrt(3);
    const angle = Math.atan2(beta, alpha) - Math.PI / 2;
    const drill = drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding)));
    const plant = livePlant(drill, H_S, angle);
    set(plant, { rotorSpeed: Math.hypot(alpha, beta) / LAMBDA });
    plant.command(7, ...duties);
    plant.runPeriod();
    return plant;
  }

  /** Phase currents at every step of one period [A]. */
  function onePeriod(): number[][] {
    const plant = rippling();
    const out: number[][] = [];
    const end = plant.tick + 1;
    while (plant.tick < end) {
      const a = plant.read('iAlpha');
      const b = (Math.sqrt(3) / 2) * plant.read('iBeta');
      out.push([a, b - a / 2, -b - a / 2]);
      plant.step();
    }
    return out;
  }
  const turned = 'the EMF turns by 1e-5 rad in the period, so it misses the mean voltage by 20 uV: 26 uA in 50 us';

  it('sees a ripple of 0.900, 0.750 and 0.900 A', () => {
    const rows = onePeriod();
    [0.9, 0.75, 0.9].forEach((expected, k) => {
      const column = rows.map((r) => r[k]);
      const ripple = Math.max(...column) - Math.min(...column);
      expectNear(ripple, expected, { abs: 1e-4, because: turned });
    });
  });

  it('reads the mean at the middle of the low-side interval', () => {
    const rows = onePeriod();
    for (let k = 0; k < 3; k++) {
      // The corners of the ripple lie on the grid, so the trapezoidal sum is the exact mean.
      const mean = rows.reduce((sum, r) => sum + r[k], 0) / rows.length;
      expectNear(rows[0][k], mean, { abs: 1e-4, because: turned });
    }
  });

  it('is off by -0.045, 0 and +0.045 A when it comes 1 us late', () => {
    const rows = onePeriod();
    [-0.045, 0, 0.045].forEach((expected, k) => {
      expectNear(rows[2][k] - rows[0][k], expected, { abs: 1e-5, because: turned });
    });
  });

  it('gives the counts that belong to it', () => {
    const board = boardParams({ ...PLAIN_BOARD, shuntGain: 2000 });
    const plant = rippling();
    const sense = blankSense();
    plant.step();
    plant.step();
    new Sensors(board).sample(plant, sense, false);
    const counts = Math.round(-0.045 / currentPerCount_A(board));
    expect(counts).toBeLessThan(-20);
    const why = 'one count of rounding, and 26 uA of drift is less than a tenth of one';
    expectNear(sense.ia - currentZero_counts(board), counts, { abs: 1, because: why });
    expectNear(sense.ic - currentZero_counts(board), -counts, { abs: 1, because: why });
  });

  it('reads zero while the high side conducts', () => {
    const board = PLAIN_BOARD;
    const plant = rippling();
    set(plant, { iAlpha: 50, psiAlpha: plant.read('psiAlpha') + 50 * 40e-6 });
    for (let n = 0; n < 50; n++) plant.step();
    const sense = blankSense();
    new Sensors(board).sample(plant, sense, false);
    expect(plant.read('onA')).toBe(1);
    expect(sense.ia).toBe(currentZero_counts(board));
  });
});
