/**
 * Free acceleration of a salient machine against an independent solver.
 *
 * Source  the voltage equations of Pillay, Krishnan, "Modeling of permanent magnet motor drives", IEEE Trans. Ind.
 *         Electron. 35(4), 1988 (bibliography read, text not); integrated by npm odex (extrapolation method of Hairer,
 *         Norsett, Wanner, Solving Ordinary Differential Equations I), run live. The table was computed once with
 *         DOP853 at rtol 1e-12, so it is a third solution, not a publication.
 */
import { Solver } from 'odex';
import { describe, expect, it } from 'vitest';
import { MACHINE_S } from '../support/machine-s.ts';
import { expectNear } from '../support/near.ts';
import { Machine } from '../support/rigs.ts';

const J = 2e-5;
const B = 2e-5;

/** Time, id, iq, rotor speed. */
const TABLE = [
  [1e-4, 9.22421006e-5, 3.19651821, 0.194500138],
  [1e-3, 0.438783764, 21.4406258, 15.0322935],
  [2e-3, 2.95706478, 26.1432537, 44.5258662],
  [5e-3, 6.20652492, 9.29480983, 109.553822],
  [20e-3, 0.0636448696, 0.105466418, 124.594002],
] as const;

/** Solution by odex at the given time: id, iq, speed. */
function byOdex(t_s: number): number[] {
  const f = (_t: number, [id, iq, w]: number[]): number[] => {
    const we = MACHINE_S.polePairs * w;
    const torque = 1.5 * MACHINE_S.polePairs * (MACHINE_S.magnet_Wb * iq + (MACHINE_S.ld_H - MACHINE_S.lq_H) * id * iq);
    return [
      (-MACHINE_S.r_ohm * id + we * MACHINE_S.lq_H * iq) / MACHINE_S.ld_H,
      (2 - MACHINE_S.r_ohm * iq - we * (MACHINE_S.ld_H * id + MACHINE_S.magnet_Wb)) / MACHINE_S.lq_H,
      (torque - B * w) / J,
    ];
  };
  const solver = new Solver(3);
  solver.absoluteTolerance = 1e-13;
  solver.relativeTolerance = 1e-13;
  return solver.solve(f, 0, [0, 0, 0], t_s).y;
}

/** The engine's solution: id, iq, speed. */
function byEngine(t_s: number, h_s: number): number[] {
  const m = new Machine(MACHINE_S, { rotor_kgm2: J, rotorViscous_Nms: B });
  const n = Math.round(t_s / h_s);
  for (let k = 0; k < n; k++) m.step(0, 2, h_s);
  return [m.id_A, m.iq_A, m.get('rotorSpeed')];
}

describe('free acceleration of machine S', () => {
  it.each(TABLE)('odex repeats the table at %f s', (t_s, id, iq, w) => {
    const y = byOdex(t_s);
    const abs = (v: number) => 1e-9 * Math.max(1, Math.abs(v)) + 5e-9 * Math.abs(v);
    [id, iq, w].forEach((v, k) => {
      expectNear(y[k], v, { abs: abs(v), because: 'solver tolerance 1e-9, and the table has nine digits' });
    });
  });

  it.each([1e-3, 5e-3])('the engine at 1 us agrees with odex at %f s', (t_s) => {
    const exact = byOdex(t_s);
    const fine = byEngine(t_s, 1e-6);
    const coarse = byEngine(t_s, 2e-6);
    exact.forEach((v, k) => {
      // Order 2: the step from 2 us to 1 us removes three quarters of the error, so a third of it is what is left.
      const bound = (1.1 * Math.abs(coarse[k] - fine[k])) / 3 + 1e-9;
      expectNear(fine[k], v, {
        abs: bound,
        because: 'Richardson estimate of a second-order method, 10 % for the next term',
      });
    });
  });

  it('loses a factor 4 of error when the step is halved', () => {
    const exact = byOdex(2e-3);
    const e = [2e-6, 1e-6].map((h_s) => byEngine(2e-3, h_s).map((v, k) => v - exact[k]));
    for (let k = 0; k < 3; k++) {
      expectNear(Math.log2(e[0][k] / e[1][k]), 2, {
        abs: 0.05,
        because: 'order 2; one correction is not symmetric, so the next term is h^3',
      });
    }
  });

  it('is a table that a wrong machine fails', () => {
    expect(Math.abs(byOdex(1e-3)[1] - 1.01 * 21.4406258)).toBeGreaterThan(0.1);
  });
});
