/**
 * Lines at multiples of the electrical frequency: amplitudes of made-up sums of cosines, which are known, beside others that
 * must not leak in; and the refusals beyond the bounds.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { leakageShare } from '../../src/scenario/checks/order.ts';
import { expectNear } from '../support/near.ts';
import { found } from './check-rig.ts';

const TURN = 2 * Math.PI;
const wrapped = (angle: number): number => angle - TURN * Math.floor(angle / TURN);

/** Electrical angle at a frequency that drifts evenly from one value to the other. */
const angleOf = (from_Hz: number, to_Hz: number, lasts_s: number) => (t: number) =>
  TURN * (from_Hz * t + ((to_Hz - from_Hz) * t * t) / (2 * lasts_s));

interface Part {
  readonly order: number;
  readonly size: number;
  readonly phase: number;
}

function lineOf(order: number, parts: readonly Part[], from_Hz: number, to_Hz = from_Hz, lasts_s = 0.1) {
  const angle = angleOf(from_Hz, to_Hz, lasts_s);
  const currentA = (t: number) => parts.reduce((sum, p) => sum + p.size * Math.cos(p.order * angle(t) + p.phase), 0);
  const rotorAngle = (t: number) => wrapped(angle(t));
  return found({ signal: 'currentA', take: 'order', order, atMost: 1e9 }, { run: { currentA, rotorAngle }, lasts_s });
}

describe('order of a signal', () => {
  it('finds the amplitude of each line beside all the others', () => {
    const parts = [
      { order: 0, size: 30, phase: 0 },
      { order: 1, size: 50, phase: 0.3 },
      { order: 2, size: 1.5, phase: 2 },
      { order: 6, size: 0.25, phase: -1 },
    ];
    for (const { order, size } of parts.slice(1)) {
      const { value, verdict } = lineOf(order, parts, 330);
      expect(verdict).toBe('pass');
      const because = 'whole turns: orders leak nothing but by the part of a tick in which the last turn ends';
      expectNear(value ?? Number.NaN, size, { abs: 1e-3, because });
    }
    expectNear(lineOf(4, parts, 330).value ?? Number.NaN, 0, { abs: 1e-3, because: 'nothing lies there' });
  });

  it('finds it while the speed drifts by 8 %, forwards and backwards', () => {
    const parts = [
      { order: 1, size: 20, phase: 1 },
      { order: 6, size: 0.5, phase: 0 },
    ];
    for (const [from, to] of [
      [200, 216],
      [-200, -216],
    ]) {
      const because = 'over the angle a line stays a line; samples are spaced unevenly by 8 %';
      expectNear(lineOf(6, parts, from, to).value ?? Number.NaN, 0.5, { abs: 2e-3, because });
    }
  });

  it('keeps to its bound on leakage for orders at least one away, wherever they lie', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 120, max: 900, noNaN: true }),
        fc.double({ min: 1, max: 8, noNaN: true }),
        fc.double({ min: 0, max: TURN, noNaN: true }),
        (frequency_Hz, away, phase) => {
          const lasts_s = 0.1;
          const turns = Math.floor(frequency_Hz * lasts_s - 1e-6);
          const other = 2 + away;
          fc.pre(turns >= 9 && other * frequency_Hz < 9000);
          const { value } = lineOf(2, [{ order: other, size: 1, phase }], frequency_Hz, frequency_Hz, lasts_s);
          const bound = leakageShare(turns - 1);
          const sampling = 1e-4;
          const because =
            'the bound, of one turn less since the first sample is a tick late, and the end between two ticks';
          expectNear(value ?? Number.NaN, 0, { abs: 2 * bound + sampling, because });
        },
      ),
      { seed: 5, numRuns: 100 },
    );
  });

  it('tells turns, spread of the speed and leakage with the number', () => {
    const { note } = lineOf(1, [{ order: 1, size: 1, phase: 0 }], 300, 303);
    expect(note).toMatch(/^over (29|30) turns; speed varies by 0\.9\d %; leaks at most \d\.\de-[56] of another order$/);
  });

  it.each([
    ['few turns', 1, 50, 50, '4 electrical turns in the window; allowed are 8 or more'],
    ['a speed that varies', 1, 200, 260, 'allowed are 10 %'],
    [
      'an order that the sampling does not show',
      20,
      500,
      500,
      'order 20 lies at 10000 Hz; allowed is less than 9000 Hz',
    ],
    ['a rotor at rest', 1, 0, 0, '0 electrical turns'],
  ])('refuses %s', (_what, order, from, to, words) => {
    const result = lineOf(order, [{ order: 1, size: 1, phase: 0 }], from, to);
    expect(result).toMatchObject({ verdict: 'not evaluated', value: null, margin: null });
    expect(result.why).toContain(words);
  });

  it('refuses a rotor that turns both ways', () => {
    const angle = (t: number) => TURN * 300 * t + 3 * Math.sin(TURN * 300 * t);
    const result = found(
      { signal: 'currentA', take: 'order', order: 1, atMost: 1 },
      { run: { currentA: () => 1, rotorAngle: (t) => wrapped(angle(t)) }, lasts_s: 0.1 },
    );
    expect(result.why).toContain('both ways');
  });
});
