/** When a Hall has its edge: against the time at which a uniformly accelerated angle passes it, by the quadratic formula of any algebra book. */
import { describe, expect, it } from 'vitest';
import { Halls } from '../../src/plant/hall.ts';
import { SLOTS, slot } from '../../src/plant/slots.ts';
import { WORK_LENGTH, work } from '../../src/plant/work.ts';

const PERIOD_S = 50e-6;
/** 24 halvings of an update leave half a piece; the angle is held to rounding. */
const CLOSE_S = PERIOD_S / 2 ** 24;
const POLE_PAIRS = 4;
const SIXTH_RAD = Math.PI / 3;

/** Time of the edge within an update that begins at `theta` and goes on at `w0`, then `w1` [electrical rad, rad/s]. */
function edge_s(theta: number, w0: number, w1: number): number {
  const halls = new Halls([0, (2 * Math.PI) / 3, (4 * Math.PI) / 3], POLE_PAIRS);
  const x = new Float64Array(SLOTS.length);
  const w = new Float64Array(WORK_LENGTH);
  w[work('period')] = PERIOD_S;
  const stand = (angle: number, speed: number) => {
    x[slot('cos')] = Math.cos(angle);
    x[slot('sin')] = Math.sin(angle);
    x[slot('rotorSpeed')] = speed / POLE_PAIRS;
  };
  stand(theta, w0);
  x[slot('hallSensors')] = halls.code(x);
  x[slot('hall')] = x[slot('hallSensors')];
  x[slot('hallEdge')] = -1;
  halls.begin(x);
  stand(theta + 0.5 * (w0 + w1) * PERIOD_S, w1);
  halls.end(x, w);
  return x[slot('hallEdge')];
}

describe('the edge of a Hall', () => {
  it.each([
    ['at speed', 5000, 5000],
    ['backwards', -5000, -5200],
    ['while it speeds up', 300, 900],
    ['at a creep', 0.5, 0.5],
    ['slower than the arctangent is asked', 0.01, 0.01],
    ['at more than a quarter turn an update', 33_000, 33_000],
  ])('falls where the angle passes it %s', (_, w0, w1) => {
    const a = (w1 - w0) / PERIOD_S;
    const swept = 0.5 * (w0 + w1) * PERIOD_S;
    for (const [share, edge] of [0.03, 0.4, 0.77].flatMap((part) =>
      [-0.5, 0.5].map((half) => [part, half * Math.PI]),
    )) {
      // Hall A changes a quarter turn before and after 0, another one each sixth of a turn after it; the last one counts.
      const first = share * swept;
      const theta = edge - first;
      const way = first + Math.sign(swept) * Math.floor(Math.abs(swept - first) / SIXTH_RAD) * SIXTH_RAD;
      const exact = (2 * way) / (w0 + Math.sign(w0) * Math.sqrt(w0 * w0 + 2 * a * way));
      // The angle is known to rounding, which at a creep is a long way in time.
      const rounding_s = 4e-16 / Math.min(Math.abs(w0), Math.abs(w1));
      expect(Math.abs(edge_s(theta, w0, w1) - exact)).toBeLessThan(CLOSE_S + rounding_s);
    }
  });

  it('is found where the rotor turns back within the update', () => {
    // Forth by 0.045 rad and back by 0.02: it passes the Hall once.
    const at = edge_s(Math.PI / 2 - 0.01, 3000, -2000);
    const pass = 3000 - Math.sqrt(3000 ** 2 - 2 * 1e8 * 0.01);
    expect(Math.abs(at - pass / 1e8)).toBeLessThan(CLOSE_S);
  });
});
