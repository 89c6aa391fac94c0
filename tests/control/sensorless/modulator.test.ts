/**
 * Duties against the voltages that the bridge of the plant makes of them.
 *
 * Source  line voltage a-b of a vector of length U at angle phi: sqrt(3) U cos(phi + 30 deg). Largest voltage with a window of t_w for
 *         the samples: (1 - t_w/T) Vdc / sqrt(3) with two shunts, 2/3 Vdc (1 - t_w/T) with three and the top leg left out, where the
 *         lowest leg stays low: derived; 9.77 V and 11.28 V for 18 V and 3 us computed. Dead time costs Vdc td fs against the sign
 *         of the current: Jeong, Park, IEEE Trans. Ind. Electron. 38(2), 1991 (from memory).
 */
import { describe, expect, it } from 'vitest';
import { Modulator } from '../../../src/control/sensorless/modulator.ts';
import { blankDrive } from '../../../src/protocol/codec.ts';
import { DUTY_FULL } from '../../../src/protocol/frames.ts';
import { expectNear } from '../../support/near.ts';
import { drillWith, idealSupply, LOCKED, linearWinding, livePlant, merge, set, TINY } from '../../support/rigs.ts';
import { DEGREE, TICK_S } from './motor-d.ts';

const VDC = 18;
const LINEAR_V = VDC / Math.sqrt(3);
const ANGLES = Array.from({ length: 73 }, (_, k) => (5 * k + 1) * DEGREE);

function dutiesOf(size_V: number, phi: number): number[] {
  const modulator = new Modulator();
  modulator.make(size_V * Math.cos(phi), size_V * Math.sin(phi), VDC, 0, 0, 0, 1);
  return [...modulator.duty];
}

/** Longest vector of the hexagon at an angle [V]: its sides are 30 degrees to either side of a corner. */
function hexagon_V(phi: number): number {
  const sector = (((phi % (60 * DEGREE)) + 60 * DEGREE) % (60 * DEGREE)) - 30 * DEGREE;
  return LINEAR_V / Math.cos(sector);
}

/** Mean pole voltages that the bridge makes of duties, with a current that hardly changes [V]. */
function poles(duties: readonly number[], i: readonly [number, number], deadTime_s: number): number[] {
  const l_H = 1;
  const winding = { r_ohm: TINY, ld_H: l_H, lq_H: l_H, magnet_Wb: TINY };
  const plant = livePlant(
    drillWith(merge(idealSupply(VDC), LOCKED, linearWinding(winding), { bridge: { deadTime_s } })),
    1e-6,
  );
  const [alpha, beta] = i;
  const b = (Math.sqrt(3) / 2) * beta;
  const [diodeA, diodeB, diodeC] = [alpha, b - alpha / 2, -b - alpha / 2].map((v) => -Math.sign(v));
  const now = { dutyA: duties[0], dutyB: duties[1], dutyC: duties[2], gates: 7 };
  set(plant, {
    psiAlpha: alpha * l_H,
    psiBeta: beta * l_H,
    iAlpha: alpha,
    iBeta: beta,
    diodeA,
    diodeB,
    diodeC,
    ...now,
  });
  plant.command(7, duties[0], duties[1], duties[2]);
  for (let n = 0; n < 3; n++) plant.runPeriod();
  return [plant.read('meanA'), plant.read('meanB'), plant.read('meanC')];
}

describe('duties', () => {
  it.each([0.05, 0.3, 0.55, 0.62, 0.9, 1])(
    'make the line voltages of a vector of %f of the hexagon, any angle',
    (share) => {
      for (const phi of ANGLES) {
        const size_V = share * hexagon_V(phi);
        const d = dutiesOf(size_V, phi);
        for (const k of [0, 1, 2]) {
          expect(d[k]).toBeGreaterThanOrEqual(0);
          expect(d[k]).toBeLessThanOrEqual(1);
          const line = Math.sqrt(3) * size_V * Math.cos(phi + 30 * DEGREE - k * 120 * DEGREE);
          expectNear(VDC * (d[k] - d[(k + 1) % 3]), line, { abs: 1e-12, because: 'rounding of 18 V' });
        }
      }
    },
  );

  it('come back from the bridge as the vector that was asked for', () => {
    for (const [size_V, deg] of [
      [2, 20],
      [6, 100],
      [9, 190],
      [10.3, 290],
    ]) {
      const [a, b, c] = poles(dutiesOf(size_V, deg * DEGREE), [1e-3, 5e-4], 0);
      const why = 'exact edges on a lossless bridge: rounding';
      expectNear((2 * a - b - c) / 3, size_V * Math.cos(deg * DEGREE), { abs: 1e-9, because: why });
      expectNear((b - c) / Math.sqrt(3), size_V * Math.sin(deg * DEGREE), { abs: 1e-9, because: why });
    }
  });

  it('are centered at low voltage: the outer ones keep the same distance to the rails', () => {
    for (const phi of ANGLES) {
      const d = dutiesOf(0.5 * LINEAR_V, phi);
      expectNear(Math.min(...d) + Math.max(...d), 1, { abs: 1e-12, because: 'rounding' });
    }
  });

  it('beyond the hexagon stay what a timer can take', () => {
    for (const phi of ANGLES) for (const d of dutiesOf(20, phi)) expect(d >= 0 && d <= 1).toBe(true);
  });

  it('of the zero vector are all low, and fill the frame in its own counts', () => {
    const modulator = new Modulator();
    const drive = blankDrive(0);
    modulator.make(0, 0, VDC, 0, 0, 0, 1);
    modulator.put(drive);
    expect([drive.dutyA, drive.dutyB, drive.dutyC]).toEqual([0, 1, 2].map(() => Math.round(DUTY_FULL / 2)));
    modulator.zero();
    modulator.put(drive);
    expect([drive.dutyA, drive.dutyB, drive.dutyC]).toEqual([0, 0, 0]);
  });
});

describe('window for the samples', () => {
  const T_W = 3e-6;

  /** Low time [s] of the leg that has the longest, the middle and the shortest, least over all angles. */
  function windows(size_V: number): [number, number, number] {
    const out: [number, number, number] = [1, 1, 1];
    for (let deg = 0; deg < 360; deg += 0.5) {
      const low = dutiesOf(size_V, deg * DEGREE)
        .map((d) => (1 - d) * TICK_S)
        .sort((p, q) => q - p);
      for (const k of [0, 1, 2]) out[k] = Math.min(out[k], low[k]);
    }
    return out;
  }

  it('is the whole period on the lowest leg above 60 % of the linear voltage', () => {
    expectNear(windows(0.61 * LINEAR_V)[0], TICK_S, { abs: 1e-15, because: 'rounding' });
  });

  it('is there for two shunts, any two, up to 9.77 V', () => {
    expectNear((1 - T_W / TICK_S) * LINEAR_V, 9.77, { abs: 0.005, because: 'two printed decimals' });
    expect(windows(9.76)[2]).toBeGreaterThan(T_W);
    expect(windows(9.78)[2]).toBeLessThan(T_W);
  });

  it('is there for three shunts but the top one over the whole linear range', () => {
    const [, middle] = windows(LINEAR_V);
    // The middle leg is highest where two are the same: 3/2 of the voltage over the link.
    expectNear(middle, (1 - (1.5 * LINEAR_V) / VDC) * TICK_S, {
      abs: 1e-12,
      because: 'that angle is among those tried',
    });
    expect(middle).toBeGreaterThan(T_W);
    expectNear((2 / 3) * VDC * (1 - T_W / TICK_S), 11.28, { abs: 0.005, because: 'two printed decimals' });
    expectNear((1 - (1.5 * 11.28) / VDC) * TICK_S, T_W, { abs: 1e-12, because: 'exact algebra' });
  });
});

describe('dead-time compensation', () => {
  const DEAD_S = 0.5e-6;
  const DEAD_V = VDC * DEAD_S * 20_000;

  it('takes 0.18 V a leg', () => {
    expectNear(DEAD_V, 0.18, { abs: 1e-12, because: 'exact algebra' });
  });

  it.each([
    [3, 20, 10, 40],
    [3, 20, -10, 40],
    [4, 130, 20, -100],
    [8, 250, 30, 10],
    [8.5, 310, -60, 75],
  ])('gives the bridge what it takes: %f V at %f degrees with %f A at %f degrees', (size_V, deg, i_A, iDeg) => {
    const i = [i_A * Math.cos(iDeg * DEGREE), i_A * Math.sin(iDeg * DEGREE)] as const;
    const wish = [size_V * Math.cos(deg * DEGREE), size_V * Math.sin(deg * DEGREE)];
    const vector = (dead_V: number) => {
      const modulator = new Modulator();
      modulator.make(wish[0], wish[1], VDC, dead_V, i[0], i[1], 1.5);
      const [a, b, c] = poles([...modulator.duty], i, DEAD_S);
      return [(2 * a - b - c) / 3, (b - c) / Math.sqrt(3)];
    };
    const [with_, without] = [vector(DEAD_V), vector(0)];
    expectNear(with_[0], wish[0], { abs: 1e-9, because: 'exact edges on a lossless bridge: rounding' });
    expectNear(with_[1], wish[1], { abs: 1e-9, because: 'exact edges on a lossless bridge: rounding' });
    // The vector of three signs is 4/3 long.
    const lost = Math.hypot(without[0] - wish[0], without[1] - wish[1]);
    expect(lost).toBeGreaterThan(0.1);
    expect(lost).toBeLessThan((4 / 3) * DEAD_V + 1e-9);
  });

  it('is a straight line within the knee, and its full value beyond', () => {
    const at = (i_A: number) => {
      const modulator = new Modulator();
      modulator.make(0, 0, VDC, DEAD_V, i_A, 0, 1.5);
      const [a, b] = modulator.duty;
      return VDC * (a - b);
    };
    // Phase b carries half of it the other way: line a-b gets i / knee of a and half of that of b.
    expectNear(at(1.5), 1.5 * DEAD_V, { abs: 1e-12, because: 'rounding' });
    expectNear(at(0.75), 0.75 * DEAD_V, { abs: 1e-12, because: 'rounding' });
    expectNear(at(-0.75), -0.75 * DEAD_V, { abs: 1e-12, because: 'rounding' });
    expectNear(at(3), 2 * DEAD_V, { abs: 1e-12, because: 'rounding' });
    expectNear(at(40), 2 * DEAD_V, { abs: 1e-12, because: 'rounding' });
    expectNear(at(0), 0, { abs: 1e-12, because: 'rounding' });
  });
});
