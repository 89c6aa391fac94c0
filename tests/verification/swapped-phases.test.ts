/**
 * Two phases exchanged at the terminals: leg B feeds phase C and leg C feeds phase B.
 *
 * Source  exchanging two phases mirrors the space vector, v becomes its conjugate; Krause, Wasynczuk, Sudhoff, Analysis of
 *         Electric Machinery and Drive Systems, 2002, for the vectors (bibliography read, text not). The currents of a
 *         turning machine are those of one R-L branch in complex numbers, by hand:
 *         L di/dt + R i = conj(v) - e with e = j w flux exp(j w t), and both sources are vectors of constant length.
 *
 * A controller that turns its vector with the rotor then drives the field backward at the speed of the rotor. Seen from the
 * rotor that is a current of twice the frequency; its torque has no mean. What mean is left is the brake of the EMF, which
 * meets the bridge as a short circuit.
 */
import { describe, it } from 'vitest';
import { legCurrent_A } from '../../src/plant/axes.ts';
import type { Plant } from '../../src/plant/plant.ts';
import { circuit, POLE_PAIRS, spinning } from '../spice/rig.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { linearWinding, merge, type Overrides, set, TINY } from '../support/rigs.ts';

const VDC = 18;
const PERIOD_S = 50e-6;
const BRIDGE = { period_s: PERIOD_S, dead_s: 0, rds_ohm: TINY, diode_V: 0, diode_ohm: TINY, shunt_ohm: TINY };
const B_AND_C = 2;

function ready(wiring: number, we_rad_s: number, angle_rad: number, winding: Overrides): Plant {
  const p = { ...BRIDGE, link_V: VDC, angle_rad, speed_rad_s: we_rad_s };
  const plant = spinning(p, merge(circuit(p), winding), 1e-6);
  plant.damage.set('wiring', wiring);
  return plant;
}

/** Phase duties of a vector [V] around half the link. */
function duties(alpha_V: number, beta_V: number): [number, number, number] {
  const r = (Math.sqrt(3) / 2) * beta_V;
  const at = (v: number) => 0.5 + v / VDC;
  return [at(alpha_V), at(r - alpha_V / 2), at(-r - alpha_V / 2)];
}

const legs_A = (plant: Plant): number[] => [0, 1, 2].map((k) => legCurrent_A(plant.state, k));

describe('a voltage vector on a rotor that is held', () => {
  const vector = [1.2, 0.7] as const;
  const PERIODS = 5;

  function held(wiring: number, angle_rad: number, beta_V: number, r_ohm: number): Plant {
    const plant = ready(wiring, 0, angle_rad, linearWinding({ ...MACHINE_S, r_ohm }));
    plant.command(7, ...duties(vector[0], beta_V));
    set(plant, {});
    for (let k = 0; k < PERIODS; k++) plant.runPeriod();
    return plant;
  }

  it.each([0, 0.7, 2, 4])('acts with B and C exchanged as its mirror image does without, rotor at %f rad', (angle) => {
    const swapped = held(B_AND_C, angle, vector[1], MACHINE_S.r_ohm);
    const mirrored = held(0, angle, -vector[1], MACHINE_S.r_ohm);
    const because = 'the same circuit: rounding of the duties';
    for (const name of ['iAlpha', 'iBeta', 'airGap'] as const) {
      expectNear(swapped.read(name), mirrored.read(name), { abs: 1e-10, because });
    }
    const [a, b, c] = legs_A(mirrored);
    legs_A(swapped).forEach((i_A, k) => {
      expectNear(i_A, [a, c, b][k], { abs: 1e-10, because });
    });
    // And the legs see what a mirrored machine would show them: the same one, its rotor on the other side of phase a.
    legs_A(held(0, -angle, vector[1], MACHINE_S.r_ohm)).forEach((i_A, k) => {
      expectNear(legs_A(swapped)[k], i_A, { abs: 1e-10, because });
    });
    expectNear(swapped.read('meanB') - swapped.read('meanC'), Math.sqrt(3) * vector[1], { abs: 1e-9, because });
  });

  it.each([0, 0.7, 2, 4])('drives the currents of the mirrored flux, rotor at %f rad', (angle) => {
    const plant = held(B_AND_C, angle, vector[1], TINY);
    const [alpha, beta] = [vector[0], -vector[1]].map((v) => v * PERIODS * PERIOD_S);
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const id = (c * alpha + s * beta) / MACHINE_S.ld_H;
    const iq = (c * beta - s * alpha) / MACHINE_S.lq_H;
    const because = 'the flux is the volt-seconds, exactly; edges keep their time';
    expectNear(plant.read('iAlpha'), c * id - s * iq, { abs: 1e-9, because });
    expectNear(plant.read('iBeta'), s * id + c * iq, { abs: 1e-9, because });
  });
});

describe('a voltage vector that turns with the rotor', () => {
  const UPDATES = 320;
  const WE = (2 * Math.PI) / (UPDATES * PERIOD_S);
  const L_H = 50e-6;
  const R_OHM = MACHINE_S.r_ohm;
  const FLUX = MACHINE_S.magnet_Wb;
  const EMF = WE * FLUX;
  const Z2 = R_OHM ** 2 + (WE * L_H) ** 2;
  const TURNS = 3;
  const LARGEST_A = (2 * EMF) / Math.sqrt(Z2);

  interface Row {
    readonly t_s: number;
    readonly alpha_A: number;
    readonly beta_A: number;
    readonly torque_Nm: number;
  }

  /** The legs command the EMF itself, ahead of the rotor by 90 degrees; what flows at the end of each update. */
  function run(wiring: number): Row[] {
    const plant = ready(wiring, WE, 0, linearWinding({ ...MACHINE_S, ld_H: L_H, lq_H: L_H }));
    const rows: Row[] = [];
    const next = (k: number) => {
      const angle = WE * (k + 0.5) * PERIOD_S;
      plant.command(7, ...duties(-EMF * Math.sin(angle), EMF * Math.cos(angle)));
    };
    next(0);
    set(plant, {});
    for (let k = 0; k < TURNS * UPDATES; k++) {
      next(k + 1);
      plant.runPeriod();
      const { time_s } = plant;
      const [alpha_A, beta_A] = [plant.read('iAlpha'), plant.read('iBeta')];
      rows.push({ t_s: time_s, alpha_A, beta_A, torque_Nm: plant.read('airGap') });
    }
    return rows;
  }

  /** Steady answer of the branch to a source of length EMF at angle phase, turning one way or the other. */
  function answer(way: number, phase: number, t_s: number): [number, number] {
    const angle = way * WE * t_s + phase - Math.atan2(way * WE * L_H, R_OHM);
    const size = EMF / Math.sqrt(Z2);
    return [size * Math.cos(angle), size * Math.sin(angle)];
  }

  /** Current of the branch from rest: conj(v) turns backward from -90, -e forward from -90 degrees. */
  function closedForm(t_s: number): [number, number] {
    const quarter = -Math.PI / 2;
    const steady = (t: number) => answer(-1, quarter, t).map((v, k) => v + answer(1, quarter, t)[k]);
    const fade = Math.exp((-t_s * R_OHM) / L_H);
    const [now, start] = [steady(t_s), steady(0)];
    return [now[0] - fade * start[0], now[1] - fade * start[1]];
  }

  const because =
    'a vector held for a period is (w T)^2/24 = 2e-5 short; pulses in its middle act as (R T/L)^2/100 = 3e-5 less';
  const current = { abs: 1e-4 * LARGEST_A, because };
  const swapped = run(B_AND_C);
  const lastTurn = swapped.slice(-UPDATES);

  it('draws nothing when the wires are right', () => {
    for (const { alpha_A, beta_A } of run(0)) {
      expectNear(alpha_A, 0, current);
      expectNear(beta_A, 0, current);
    }
  });

  it('draws the current of a branch with the EMF turning the other way when B and C are exchanged', () => {
    for (const { t_s, alpha_A, beta_A } of swapped) {
      const [a, b] = closedForm(t_s);
      expectNear(alpha_A, a, current);
      expectNear(beta_A, b, current);
    }
  });

  it('beats at twice the electrical frequency', () => {
    const squares = lastTurn.map((r) => r.alpha_A ** 2 + r.beta_A ** 2);
    const bound = { abs: 4e-4 * LARGEST_A ** 2, because: 'twice the share of the current, of its two parts' };
    for (let order = 0; order < 8; order++) {
      const angle = (k: number) => (2 * Math.PI * order * (k + 1)) / UPDATES;
      const c = squares.reduce((sum, v, k) => sum + v * Math.cos(angle(k)), 0) / UPDATES;
      const s = squares.reduce((sum, v, k) => sum + v * Math.sin(angle(k)), 0) / UPDATES;
      // Two vectors of half the largest current that turn apart: mean square a half of its square, swing a half too.
      const expected = order === 0 ? LARGEST_A ** 2 / 2 : order === 2 ? LARGEST_A ** 2 / 4 : 0;
      expectNear(Math.hypot(c, s), expected, bound);
    }
  });

  it('makes a torque that swings, and no mean but the brake of the EMF', () => {
    const torques = lastTurn.map((r) => r.torque_Nm);
    const mean = torques.reduce((sum, v) => sum + v, 0) / UPDATES;
    const perAmpere = 1.5 * POLE_PAIRS * FLUX;
    const brake = (-perAmpere * WE * R_OHM * FLUX) / Z2;
    const bound = {
      abs: 1e-3 * perAmpere * LARGEST_A,
      because: 'half a step of 1 us is 2e-4 of a turn; as the current',
    };
    expectNear(mean, brake, { abs: 1e-6, because: 'a sum over a whole turn keeps nothing of the swing' });
    const swing = (perAmpere * EMF) / Math.sqrt(Z2);
    expectNear(Math.max(...torques) - mean, swing, bound);
    expectNear(Math.min(...torques) - mean, -swing, bound);
  });
});
