/**
 * The tracker against the answers of three equal poles.
 *
 * Source  error over angle is s^3 / (s + b)^3, textbook (from memory). Its answers to a step, a ramp and a parabola, the largest
 *         lag 2 e^-2 a / b^2 = 0.27 a / b^2, and the noise bandwidth were derived from it; 132 Hz for 15 degrees computed.
 */
import { describe, expect, it } from 'vitest';
import { Tracker } from '../../../src/control/sensorless/tracker.ts';
import { expectNear } from '../../support/near.ts';
import { gauss } from './gauss.ts';
import { DEGREE, TICK_S } from './motor-d.ts';

const BAND = 2 * Math.PI * 120;
/** Torque of 80 A on the bare rotor of motor D, electrical [rad/s^2]. */
const FREE_RAD_S2 = 669_000;
const WRAP = 2 * Math.PI;

function wrapped(x: number): number {
  return x - WRAP * Math.round(x / WRAP);
}

/** Errors of the angle [rad] over time, of a tracker that starts at rest and is told the error as it is. */
function follow(truth: (t_s: number) => number, tick_s: number, span_s: number, most = 1e9): [number, number][] {
  const tracker = new Tracker(tick_s, most);
  const out: [number, number][] = [];
  for (let n = 1; n * tick_s <= span_s; n++) {
    tracker.advance();
    const off = wrapped(truth(n * tick_s) - tracker.theta);
    tracker.correct(off, BAND);
    out.push([n * tick_s, off]);
  }
  return out;
}

/** Largest difference between the tracked error and a closed form. */
function worst(rows: [number, number][], closed: (t_s: number) => number): number {
  return rows.reduce((most, [t, off]) => Math.max(most, Math.abs(off - closed(t))), 0);
}

describe('tracked error', () => {
  const cases = [
    ['a step', (_: number) => 0.3, (u: number) => 0.3 * (1 - 2 * u + 0.5 * u * u) * Math.exp(-u), 0.3],
    ['a speed', (t: number) => 200 * t, (u: number) => (200 / BAND) * u * (1 - 0.5 * u) * Math.exp(-u), 200 / BAND],
    [
      'an acceleration',
      (t: number) => 0.5 * FREE_RAD_S2 * t * t,
      (u: number) => (FREE_RAD_S2 / BAND ** 2) * 0.5 * u * u * Math.exp(-u),
      FREE_RAD_S2 / BAND ** 2,
    ],
  ] as const;

  it.each(cases)('of %s is that of three equal poles', (_, truth, closed, size) => {
    const tick_s = 1e-6;
    const off = worst(follow(truth, tick_s, 20e-3), (t) => closed(BAND * t));
    const why = 'a method of first order: 6 b T of its size, with all three corrections late by a tick';
    expectNear(off, 0, { abs: 6 * BAND * tick_s * size, because: why });
  });

  it.each(cases)('of %s comes closer to it in proportion to the tick', (_, truth, closed) => {
    const [at50, at5] = [TICK_S, TICK_S / 10].map((tick_s) =>
      worst(follow(truth, tick_s, 20e-3), (t) => closed(BAND * t)),
    );
    expect(at50 / at5).toBeGreaterThan(8);
    expect(at50 / at5).toBeLessThan(13);
  });
});

describe('lag under acceleration', () => {
  it.each([120, 150])('is at most 0.27 a / b^2 at %i Hz, and leaves', (f_Hz) => {
    const tracker = new Tracker(TICK_S, 1e9);
    const b = 2 * Math.PI * f_Hz;
    let [peak, at, last] = [0, 0, 0];
    for (let n = 1; n <= 600; n++) {
      const t = n * TICK_S;
      tracker.advance();
      last = wrapped(0.5 * FREE_RAD_S2 * t * t - tracker.theta);
      tracker.correct(last, b);
      if (last > peak) [peak, at] = [last, t];
    }
    const size = (2 * Math.exp(-2) * FREE_RAD_S2) / (b * b);
    expectNear(peak / size, 1, {
      abs: 3 * b * TICK_S,
      because: 'first order in the tick: 3 b T, as the step above shows',
    });
    expectNear(at, 2 / b, { abs: 5 * TICK_S, because: 'the peak is flat, and a tick or two early' });
    expectNear(last, 0, { abs: 1e-4, because: 'u^2 exp(-u) / 2 of the size after 22 time constants and more' });
    expectNear(tracker.accel, FREE_RAD_S2, { abs: 1e-3 * FREE_RAD_S2, because: 'the acceleration has been found' });
  });

  it('stays within 15 degrees of a rotor that is let go at 80 A from about 132 Hz on', () => {
    const peak = (f_Hz: number) => {
      const band = 2 * Math.PI * f_Hz;
      return (2 * Math.exp(-2) * FREE_RAD_S2) / band ** 2 / DEGREE;
    };
    const tracked = (f_Hz: number) => {
      const tracker = new Tracker(1e-6, 1e9);
      let most = 0;
      for (let n = 1; n <= 5000; n++) {
        tracker.advance();
        const off = wrapped(0.5 * FREE_RAD_S2 * (n * 1e-6) ** 2 - tracker.theta);
        tracker.correct(off, 2 * Math.PI * f_Hz);
        most = Math.max(most, off);
      }
      return most / DEGREE;
    };
    expectNear(tracked(132), 15, {
      abs: 0.15,
      because: '132 has three digits, so 15 degrees two times half a percent',
    });
    expectNear(tracked(132), peak(132), { abs: 0.05, because: '3 b T of 15 degrees' });
  });
});

describe('noise', () => {
  /** Deviation of the angle of a tracker at rest that is told nothing but noise [rad]. */
  function noisy(sigma_rad: number, ticks: number): number {
    const draw = gauss(7);
    const tracker = new Tracker(TICK_S, 1e9);
    let [sum, n] = [0, 0];
    for (let k = 0; k < ticks; k++) {
      tracker.advance();
      tracker.correct(sigma_rad * draw() - tracker.theta, BAND);
      if (k < 1000) continue;
      sum += tracker.theta ** 2;
      n++;
    }
    return Math.sqrt(sum / n);
  }

  it('of white errors passes as sqrt(2 B T) with B = 1.03 b', () => {
    const sigma = 0.05;
    const expected = sigma * Math.sqrt(2 * 1.03 * BAND * TICK_S);
    const why = 'first order in the tick, b T = 4 %, and chance of some 4000 independent values, 1.1 %';
    expectNear(noisy(sigma, 200_000) / expected, 1, { abs: 0.06, because: why });
  });

  it('bandwidth of 1.03 b is the integral of the square of the gain', () => {
    // (3 s^2 + 3 s + 1) / (s + 1)^3 at s = j u, over u / (2 pi), by the midpoint rule on u = tan(v).
    const n = 20_000;
    let sum = 0;
    for (let k = 0; k < n; k++) {
      const u = Math.tan(((k + 0.5) / n) * (Math.PI / 2));
      const gain = ((1 - 3 * u * u) ** 2 + 9 * u * u) / (1 + u * u) ** 3;
      sum += (gain * (1 + u * u) * (Math.PI / 2)) / n;
    }
    expectNear(sum / (2 * Math.PI), 1.03, { abs: 0.005, because: 'two printed decimals' });
  });
});

describe('limits', () => {
  it('hold the acceleration within what the torque can do', () => {
    const tracker = new Tracker(TICK_S, FREE_RAD_S2);
    for (let n = 0; n < 1000; n++) {
      tracker.advance();
      tracker.correct(0.5, BAND);
      expect(tracker.accel).toBeLessThanOrEqual(FREE_RAD_S2);
    }
    expect(tracker.accel).toBe(FREE_RAD_S2);
    for (let n = 0; n < 1000; n++) tracker.correct(-0.5, BAND);
    expect(tracker.accel).toBe(-FREE_RAD_S2);
  });

  it('keep the angle within half a turn of zero over many turns', () => {
    const tracker = new Tracker(TICK_S, 1e9);
    tracker.preset(3.1, 9000);
    for (let n = 1; n <= 2000; n++) {
      tracker.advance();
      expect(Math.abs(tracker.theta)).toBeLessThanOrEqual(Math.PI);
      expectNear(wrapped(tracker.theta - 3.1 - 9000 * n * TICK_S), 0, { abs: 1e-11, because: 'rounding of 2000 sums' });
    }
  });
});
