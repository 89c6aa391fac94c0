/**
 * What the link capacitor carries while the bridge makes a sine: read off its heat, as its ESR feels it.
 *
 * A rotor turns whose magnet drives a sinusoidal current through a very large winding; the bridge adds a voltage of
 * modulation depth M at an angle phi to that current, M = 1 being half the link. The pack stands behind an inductance that
 * lets nothing but the mean through, so the capacitor has all the rest.
 *
 * Source  Kolar, Round, "Analytical calculation of the RMS current stress on the DC-link capacitor of voltage-PWM converter
 *         systems", IEE Proc. Electr. Power Appl. 153(4), 2006 (formula from memory):
 *         Ic / I = sqrt(2 M (sqrt(3) / (4 pi) + cos^2 phi (sqrt(3) / pi - 9 M / 16))); the figures below were computed from
 *         it, and again by summing the states of a bridge over a turn. The mean current of the link is power over
 *         voltage: 3 / (2 sqrt 2) M cos phi of the rms phase current.
 */
import { describe, expect, it } from 'vitest';
import type { Plant } from '../../src/plant/plant.ts';
import { STILL, switchedOn } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { drillWith, idealSupply, linearWinding, livePlant, merge, type Overrides, set, TINY } from '../support/rigs.ts';

const VDC = 18;
const PERIOD_S = 1 / 20e3;
/** Periods of an electrical turn; the sectors of 60 degrees end between two of them. */
const N = 720;
const W = (2 * Math.PI) / (N * PERIOD_S);
const TURN_S = N * PERIOD_S;
const POLES = 4;
const ESR = 1e-6;
const DEGREE = Math.PI / 180;

type Modulation = 'sine' | 'space vector';

/** Duties of a period whose middle is at an angle of the voltage. */
function duties(kind: Modulation, depth: number, angle_rad: number): number[] {
  const v = [0, 1, 2].map((k) => 0.5 * depth * Math.cos(angle_rad - (2 * Math.PI * k) / 3));
  const shift = kind === 'sine' ? 0 : 0.5 * (Math.max(...v) + Math.min(...v));
  return v.map((each) => 0.5 + each - shift);
}

/** A stiff link behind which nothing but a steady current comes from the pack. */
const LINK: Overrides = merge(STILL, idealSupply(VDC), {
  pack: { leads_ohm: TINY, r0_ohm: TINY, r1_ohm: TINY, r2_ohm: TINY, leads_H: 1e3 },
  link: { c_F: 1e4, esr_ohm: ESR, logic_ohm: 1e12 },
});

interface Shares {
  /** Rms current of the capacitor over the rms phase current. */ readonly capacitor: number;
  /** Mean current that the bridge took from the link over the rms phase current. */ readonly mean: number;
}

/** Runs one turn, commands by the angle of the voltage at the middle of each period. */
function oneTurn(plant: Plant, kind: Modulation, depth: number, start_rad: number): Shares {
  const before = { link: plant.read('lossLink'), copper: plant.read('lossCopper'), v: plant.read('capacitor') };
  const pack = plant.read('packCurrent');
  for (let n = 0; n < N; n++) {
    const next = duties(kind, depth, start_rad + (2 * Math.PI * (n + 1.5)) / N);
    plant.command(7, next[0], next[1], next[2]);
    plant.runPeriod();
  }
  const heat = (plant.read('lossCopper') - before.copper) / TURN_S;
  const rms = Math.sqrt(heat / (3 * plant.params.winding.r_ohm));
  const left = ((plant.read('capacitor') - before.v) * plant.params.link.c_F) / TURN_S;
  return {
    capacitor: Math.sqrt((plant.read('lossLink') - before.link) / TURN_S / ESR) / rms,
    mean: (pack - left) / rms,
  };
}

/** Mean current of a lossless bridge for a peak phase current of 1 A [A]. */
const meanOf = (depth: number, phi_rad: number) => 0.75 * depth * Math.cos(phi_rad);

/** The bridge on a sinusoidal current that nothing can change, the voltage phi before it. */
function driven(kind: Modulation, depth: number, phi_rad: number): Shares {
  const peak_A = 30;
  const l_H = 100;
  const winding = { polePairs: POLES, r_ohm: 1e-9, ld_H: l_H, lq_H: l_H, magnet_Wb: peak_A * l_H };
  const plant = livePlant(drillWith(merge(LINK, linearWinding(winding))), 1e-6, 0);
  plant.hands.set('gear', 0);
  set(plant, { rotorSpeed: W / POLES });
  // No flux in all, so that the current is -30 A on the d axis: it starts at 180 degrees.
  const current = { psiAlpha: 0, psiBeta: 0, iAlpha: -peak_A, packCurrent: peak_A * meanOf(depth, phi_rad) };
  const start = Math.PI + phi_rad;
  switchedOn(plant, 7, duties(kind, depth, start + Math.PI / N), current);
  return oneTurn(plant, kind, depth, start);
}

const summed =
  'N = 720 periods stand for an integral with kinks: (2 pi / N)^2 / 12 = 6e-6; 9 V over a turn move the current by 1e-3 A';
const printed = `five printed decimals; ${summed}`;

describe('link capacitor under a sinusoidal load', () => {
  it.each([
    [0.2, 0, 0.48028],
    [0.5, 0, 0.63868],
    [0.61, 0, 0.64974],
    [0.8, 0, 0.61859],
    [1, 0, 0.50331],
    [0.8, 30, 0.58492],
    [0.8, -30, 0.58492],
  ])('carries at depth %f and %f degrees %f of the phase current', (depth, phi, expected) => {
    for (const kind of ['sine', 'space vector'] as const) {
      expectNear(driven(kind, depth, phi * DEGREE).capacitor, expected, { abs: 3e-5, because: printed });
    }
  });

  it('carries 0.31186 of it at depth 1.15 under space-vector PWM', () => {
    expectNear(driven('space vector', 1.15, 0).capacitor, 0.31186, { abs: 3e-5, because: printed });
  });

  it('has the most of it near a depth of 0.61', () => {
    const at = [0.57, 0.61, 0.65].map((depth) => driven('sine', depth, 0).capacitor);
    expect(at[1]).toBeGreaterThan(Math.max(at[0], at[2]) + 1e-4);
  });

  it.each([
    [0.8, 0, 0.848528],
    [0.8, 60, 0.424264],
    [0.5, 0, 0.53033],
    [0.8, 90, 0],
  ])('lets pass at depth %f and %f degrees a mean of %f of it', (depth, phi, expected) => {
    expectNear(driven('sine', depth, phi * DEGREE).mean, expected, {
      abs: 3e-5,
      because:
        'six printed decimals; a sine held for 720 steps has 3e-6 less fundamental; 9 V over a turn move 1e-3 A of 30 A',
    });
  });
});

describe('link capacitor under a winding', () => {
  it('carries at depth 0.8 and 30 degrees 0.58492 of the phase current and a little for the ripple', () => {
    const r_ohm = 0.3;
    const l_H = (r_ohm * Math.tan(30 * DEGREE)) / W;
    const winding = { polePairs: POLES, r_ohm, ld_H: l_H, lq_H: l_H, magnet_Wb: TINY };
    const plant = livePlant(drillWith(merge(LINK, linearWinding(winding))), 1e-6, 0);
    const peak_A = (0.8 * VDC * 0.5 * Math.cos(30 * DEGREE)) / r_ohm;
    switchedOn(plant, 7, duties('sine', 0.8, Math.PI / N), { packCurrent: peak_A * meanOf(0.8, 30 * DEGREE) });
    // The start fades with 3.3 ms, and a turn has 36.
    for (let n = 0; n < 3; n++) oneTurn(plant, 'sine', 0.8, 0);
    const { capacitor, mean } = oneTurn(plant, 'sine', 0.8, 0);
    // The ripple of a phase, peak to peak at most Vdc T / 4 L, has that over sqrt 12 as its rms; it adds as squares, three
    // times at most because up to three phases stand in the link current.
    const ripple = ((VDC * PERIOD_S) / (4 * l_H) / Math.sqrt(12)) * (Math.SQRT2 / peak_A);
    const more = Math.hypot(0.58492, Math.sqrt(3) * ripple) - 0.58492;
    expectNear(capacitor, 0.58492, { abs: more + 3e-5, because: 'ripple adds its square, and the sums are as above' });
    expectNear(mean, 0.848528 * Math.cos(30 * DEGREE), {
      abs: 3 * ripple ** 2 + 3e-5,
      because: 'what the ripple heats is paid for by the link, and a staircase of 720 steps has 3e-6 less fundamental',
    });
  });
});
