/**
 * Machine S at constant speed: where it settles on a voltage, on shorted terminals, and which current gives most torque.
 *
 * Source  voltage equations of Pillay, Krishnan, "Modeling of permanent magnet motor drives", IEEE Trans. Ind. Electron.
 *         35(4), 1988 (bibliography read, text not) with d/dt = 0:
 *         vd = R id - w Lq iq, vq = R iq + w (Ld id + flux), T = 1.5 p (flux + (Ld - Lq) id) iq.
 *         Shorted terminals: id = -w^2 Lq flux / D, iq = -w R flux / D, D = R^2 + w^2 Ld Lq. Equal inductances brake most
 *         at w = R/L, with 1.5 p flux^2 / (2 L).
 *         Most torque of a current I: id = (flux - sqrt(flux^2 + 8 (Lq - Ld)^2 I^2)) / (4 (Lq - Ld)) (from memory; the
 *         maximum is looked for below). All values were computed from these equations, six or more digits each.
 */
import { describe, expect, it } from 'vitest';
import type { WindingParams } from '../../src/plant/params.ts';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { Machine } from '../support/rigs.ts';

/** Longer than 30 of the longest time constant, 1.2 ms: what is left of the start is below 1e-13 of it. */
const SETTLED_S = 40e-3;

interface Steady {
  readonly id_A: number;
  readonly iq_A: number;
  readonly torque_Nm: number;
}

/** Where the machine settles at an electrical speed, on voltages that stand still in the rotor frame. */
function settled(winding: WindingParams, we_rad_s: number, vd_V: number, vq_V: number, h_s = 1e-6): Steady {
  const m = new Machine(winding, { rotor_kgm2: 1e9, rotorViscous_Nms: 0 });
  m.put('rotorSpeed', we_rad_s / winding.polePairs);
  const n = Math.round(SETTLED_S / h_s);
  for (let k = 0; k < n; k++) m.step(vd_V, vq_V, h_s);
  return { id_A: m.id_A, iq_A: m.iq_A, torque_Nm: m.get('airGap') };
}

/** Compares with the equations; the bound is what a scheme of order 2 leaves, as its own coarser step shows. */
function expectSteady(winding: WindingParams, we_rad_s: number, v_V: readonly number[], expected: Steady): void {
  const fine = settled(winding, we_rad_s, v_V[0], v_V[1]);
  const coarse = settled(winding, we_rad_s, v_V[0], v_V[1], 2e-6);
  for (const key of ['id_A', 'iq_A', 'torque_Nm'] as const) {
    expectNear(fine[key], expected[key], {
      abs: (1.1 * Math.abs(coarse[key] - fine[key])) / 3 + 5e-6,
      because: 'Richardson estimate of a second-order method, 10 % for the next term, and five printed decimals',
    });
  }
}

describe('machine S on a constant voltage', () => {
  it.each([
    [2000, -5.3, 9.2, -10, 40, 1.008],
    [4000, -11.1, 13.2, -30, 40, 1.104],
  ])('settles at %f rad/s on %f and %f V at %f and %f A with %f N·m', (we, vd, vq, id_A, iq_A, torque_Nm) => {
    expectSteady(MACHINE_S, we, [vd, vq], { id_A, iq_A, torque_Nm });
  });
});

describe('shorted terminals', () => {
  it.each([
    [1000, -48.97959, -40.81633, -1.219492],
    [5000, -96, -16, -0.56832],
  ])('carry at %f rad/s %f and %f A and brake with %f N·m', (we, id_A, iq_A, torque_Nm) => {
    expectSteady(MACHINE_S, we, [0, 0], { id_A, iq_A, torque_Nm });
  });

  it('brake most at R/L when both inductances are the same', () => {
    const round = { ...MACHINE_S, ld_H: 50e-6, lq_H: 50e-6 };
    const torque = (we: number) => settled(round, we, 0, 0).torque_Nm;
    const peak = torque(1000);
    expectNear(peak, -0.96, { abs: 1e-6, because: 'order 2: (w h)^2 = 1e-6 of the torque at most' });
    // T = peak 2 u / (1 + u^2) with u = w L / R: 0.5 % less ten percent away, 1e-4 of it 1.4 % away.
    for (const we of [500, 800, 900, 980, 1020, 1100, 1250, 2000]) {
      const u = we / 1000;
      expectNear(torque(we), (-0.96 * 2 * u) / (1 + u * u), { abs: 4e-6, because: '(w h)^2 of 1 N·m at 2000 rad/s' });
      expect(torque(we)).toBeGreaterThan(peak + 1e-4);
    }
  });
});

describe('most torque of a current', () => {
  /** Air-gap torque of the locked rotor that carries i_A at an angle ahead of the q axis, held by its resistive drop. */
  function torqueAt(i_A: number, angle_rad: number): number {
    const [id, iq] = [-i_A * Math.sin(angle_rad), i_A * Math.cos(angle_rad)];
    const m = new Machine(MACHINE_S, { rotor_kgm2: 1e9, rotorViscous_Nms: 0 });
    m.put('psiAlpha', MACHINE_S.magnet_Wb + MACHINE_S.ld_H * id);
    m.put('psiBeta', MACHINE_S.lq_H * iq);
    m.put('iAlpha', id);
    m.put('iBeta', iq);
    for (let k = 0; k < 20; k++) m.step(MACHINE_S.r_ohm * id, MACHINE_S.r_ohm * iq, 1e-6);
    const because = 'a fixed point of the scheme is one of the equations: rounding alone';
    expectNear(m.id_A, id, { abs: 1e-10, because });
    expectNear(m.iq_A, iq, { abs: 1e-10, because });
    return m.get('airGap');
  }

  const DEGREE = Math.PI / 180;
  /** Small enough for a slope by differences, large enough for rounding. */
  const NEAR_RAD = 1e-3;

  it.each([
    [40, -7.445626, 39.300924, 0.978337],
    [80, -25.498344, 75.827663, 2.051882],
  ])('%f A make most of it at %f and %f A: %f N·m', (i_A, id_A, iq_A, torque_Nm) => {
    const around = Array.from({ length: 360 }, (_, k) => torqueAt(i_A, k * DEGREE));
    const highest = Math.max(...around);
    const angle = Math.atan2(-id_A, iq_A);
    expectNear(around.indexOf(highest) * DEGREE, angle, {
      abs: DEGREE / 2,
      because: 'the nearest of angles a degree apart',
    });
    const [before, here, after] = [-NEAR_RAD, 0, NEAR_RAD].map((by) => torqueAt(i_A, angle + by));
    expectNear(here, torque_Nm, { abs: 1e-6, because: 'six printed decimals' });
    expect(here).toBeGreaterThan(highest);
    // Where the slope passes zero: the differences over a milliradian miss it by its square over six and some.
    const bend = (2 * here - before - after) / NEAR_RAD ** 2;
    expect(bend).toBeGreaterThan(torque_Nm);
    expectNear((after - before) / (2 * NEAR_RAD * bend), 0, {
      abs: 0.5 * NEAR_RAD ** 2,
      because: 'third derivative of a sine and one of twice the angle, at most 3 times the second, over 6; digits 2e-8',
    });
  });
});
