/**
 * What three legs that make sinusoidal currents draw from the link.
 *
 * Source  Kolar, Round, "Analytical calculation of the RMS current stress on the DC-link capacitor of voltage-PWM converter
 *         systems", IEE Proc. Electric Power Applications 153(4), 2006 (from memory): alternating part over load current
 *         sqrt(2 M (sqrt 3/(4 pi) + cos^2 phi (sqrt 3/pi - 9 M/16))) with M = 2 V / Vdc, both in rms; it holds for any
 *         common part of the duties. Mean 3/4 M cos phi times the peak, from the balance of power. Values computed from
 *         these, and from a sum over the states of the bridge.
 *
 * The formulas are the limit of many periods in a turn and no ripple in the phases. Here 1 H leaves no ripple; 300 and 600
 * periods in a turn are taken to the limit by their distance, which falls with the square of their number.
 */
import { describe, it } from 'vitest';
import { legCurrent_A } from '../../src/plant/axes.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { circuit, spinning } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, set, TINY } from '../support/rigs.ts';

const VDC = 18;
const PERIOD_S = 50e-6;
const electrical_rad_s = (periods: number): number => (2 * Math.PI) / (periods * PERIOD_S);
const L_H = 1;
const I_A = 10;
const ESR_OHM = 1e-6;
const BRIDGE = { period_s: PERIOD_S, dead_s: 0, rds_ohm: TINY, diode_V: 0, diode_ohm: TINY, shunt_ohm: TINY };

interface Case {
  /** Peak phase voltage over half the link. */ readonly m: number;
  readonly phi_rad: number;
  /** The middle of the three duties stands in the middle of the link. */ readonly centered: boolean;
  /** PWM periods in an electrical turn. */ readonly periods: number;
}

/** Duties of update k: the voltage at its middle. */
function command(plant: Plant, { m, centered, periods }: Case, k: number): void {
  const angle = electrical_rad_s(periods) * (k + 0.5) * PERIOD_S;
  const v = [0, 1, 2].map((phase) => (m / 2) * Math.cos(angle - (phase * 2 * Math.PI) / 3));
  const common = 0.5 - (centered ? (Math.min(...v) + Math.max(...v)) / 2 : 0);
  plant.command(7, v[0] + common, v[1] + common, v[2] + common);
}

/** A machine whose magnets are placed so that the voltage carries 10 A that lag by phi, from the start on. */
function loaded(of: Case): Plant {
  const w = electrical_rad_s(of.periods);
  const psi = (of.m * VDC) / 2 / w; // behind the voltage by 90 degrees
  const [alpha, beta] = [I_A * Math.cos(of.phi_rad), -I_A * Math.sin(of.phi_rad)];
  const [magnetA, magnetB] = [-L_H * alpha, -psi - L_H * beta];
  const winding = { r_ohm: TINY, ld_H: L_H, lq_H: L_H, magnet_Wb: Math.hypot(magnetA, magnetB) };
  const p = { ...BRIDGE, link_V: VDC, angle_rad: Math.atan2(magnetB, magnetA), speed_rad_s: w };
  const plant = spinning(p, merge(circuit(p), linearWinding(winding), { link: { esr_ohm: ESR_OHM } }), 1e-6);
  const low = { onA: -1, onB: -1, onC: -1, wantA: -1, wantB: -1, wantC: -1 };
  command(plant, of, 0);
  set(plant, { psiAlpha: 0, psiBeta: -psi, iAlpha: alpha, iBeta: beta, ...low });
  return plant;
}

interface Drawn {
  readonly mean: number;
  /** RMS of what the switches take, without its mean. */ readonly swing: number;
  /** RMS of the capacitor by the heat in its resistance, without that mean. */ readonly byHeat: number;
}

/** One turn, interval by interval between the edges, over the RMS of a phase. */
function drawn(of: Case): Drawn {
  const plant = loaded(of);
  const span = of.periods * PERIOD_S;
  let charge = 0;
  let square = 0;
  let load = 0;
  for (let k = 0; k < of.periods; k++) {
    command(plant, of, k + 1);
    while (plant.tick === k) {
      const on = [plant.read('onA'), plant.read('onB'), plant.read('onC')];
      const total = () => on.reduce((sum, s, leg) => sum + (s === 1 ? legCurrent_A(plant.state, leg) : 0), 0);
      const [from_s, from_A, phase] = [plant.time_s, total(), legCurrent_A(plant.state, 0)];
      plant.step();
      const dt = plant.time_s - from_s;
      const mean = (from_A + total()) / 2;
      charge += dt * mean;
      square += dt * mean * mean;
      load += dt * phase * phase;
    }
  }
  const load_A = Math.sqrt(load / span);
  expectNear(load_A, I_A / Math.SQRT2, {
    abs: 1e-6,
    because: 'the ripple of 18 V in 1 H is 0.2 mA: 2e-9 of the square',
  });
  const mean = charge / span;
  return {
    mean: mean / load_A,
    swing: Math.sqrt(square / span - mean ** 2) / load_A,
    byHeat: Math.sqrt(plant.read('lossLink') / (ESR_OHM * span) - mean ** 2) / load_A,
  };
}

/** With ever more periods in a turn. */
function limit(m: number, degrees: number, centered: boolean): Drawn {
  const of = (periods: number) => drawn({ m, phi_rad: (degrees * Math.PI) / 180, centered, periods });
  const [coarse, fine] = [of(300), of(600)];
  const at = (key: keyof Drawn) => (4 * fine[key] - coarse[key]) / 3;
  return { mean: at('mean'), swing: at('swing'), byHeat: at('byHeat') };
}

const digits = { abs: 5.5e-6, because: 'five printed decimals; the term that falls with the square is gone' };

describe.each([
  ['sinusoidal duties', false],
  ['duties centered in the link', true],
])('link current of %s', (_, centered) => {
  it.each([
    [0.2, 0, 0.48028],
    [0.5, 0, 0.63868],
    [0.61, 0, 0.64974],
    [0.8, 0, 0.61859],
    [1, 0, 0.50331],
    [0.8, 30, 0.58492],
    [0.8, 90, 0.46961],
    [0.8, 150, 0.58492],
  ])('at M = %f and %f degrees alternates by %f of the load', (m, degrees, share) => {
    const { mean, swing, byHeat } = limit(m, degrees, centered);
    expectNear(swing, share, digits);
    expectNear(byHeat, share, digits);
    expectNear(mean, 0.75 * m * Math.cos((degrees * Math.PI) / 180) * Math.SQRT2, {
      abs: 1e-7,
      because: 'the term that falls with the square is gone',
    });
  });

  it('at M = 0.8 has a mean of 0.848528 of the load', () => {
    expectNear(limit(0.8, 0, centered).mean, 0.848528, { abs: 5e-7, because: 'six printed decimals' });
  });
});

describe('link current beyond the sine', () => {
  it('follows the same law up to the longest vector, M = 2 / sqrt 3', () => {
    const m = 2 / Math.sqrt(3);
    const law = Math.sqrt(2 * m * (Math.sqrt(3) / (4 * Math.PI) + Math.sqrt(3) / Math.PI - (9 * m) / 16));
    expectNear(limit(m, 0, true).swing, law, { abs: 1e-7, because: 'the term that falls with the square is gone' });
  });
});
