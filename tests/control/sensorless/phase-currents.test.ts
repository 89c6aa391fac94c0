/**
 * The current vector from shunts of which one may be blind.
 *
 * Source  offsets shift the vector by 2/3 sqrt(a^2 + b^2 + c^2 - ab - bc - ca) with three shunts and by 2/sqrt(3) sqrt(a^2 + ab + b^2)
 *         with two: 0.67 A and 1.15 A for 1 A on one leg; noise of one channel becomes 0.82 of it on both axes with three shunts,
 *         1.0 and 1.29 with two: computed. Amplitudes: Chung, Sul, IEEE Trans. Ind. Appl. 34(2), 1998 (from memory).
 */
import { describe, expect, it } from 'vitest';
import { PhaseCurrents } from '../../../src/control/sensorless/phase-currents.ts';
import { blankSense } from '../../../src/protocol/codec.ts';
import { NOT_FITTED } from '../../../src/protocol/frames.ts';
import { expectNear } from '../../support/near.ts';
import { gauss } from './gauss.ts';
import { DEGREE } from './motor-d.ts';

const LOW = [0.5, 0.4, 0.6];
const SMALL = { abs: 1e-12, because: 'rounding of 100 A' };

function phases(size_A: number, phi: number): [number, number, number] {
  return [0, 1, 2].map((k) => size_A * Math.cos(phi - k * 120 * DEGREE)) as [number, number, number];
}

/** Alpha and beta of three readings [A]; `blind` is the leg without a shunt, which the reader fills from the others. */
function vector(i: readonly number[], now: readonly number[] = LOW, before = now, blind = -1): [number, number] {
  const sense = blankSense();
  Object.assign(sense, { ia: 2048, ib: 2048, ic: 2048 });
  const read = Float64Array.from(i);
  if (blind >= 0) {
    Object.assign(sense, { [['ia', 'ib', 'ic'][blind]]: NOT_FITTED });
    read[blind] = -(read[(blind + 1) % 3] + read[(blind + 2) % 3]);
  }
  const out = new PhaseCurrents();
  out.take(sense, read, Float64Array.from(now), Float64Array.from(before));
  return [out.alpha, out.beta];
}

describe('vector', () => {
  it('is that of the three currents, any angle', () => {
    for (let deg = 0; deg < 360; deg += 17) {
      const [alpha, beta] = vector(phases(70, deg * DEGREE));
      expectNear(alpha, 70 * Math.cos(deg * DEGREE), SMALL);
      expectNear(beta, 70 * Math.sin(deg * DEGREE), SMALL);
    }
  });

  it('does not see what all three have in common', () => {
    const [a, b, c] = phases(70, 1);
    const [alpha, beta] = vector([a + 3, b + 3, c + 3]);
    expectNear(alpha, 70 * Math.cos(1), SMALL);
    expectNear(beta, 70 * Math.sin(1), SMALL);
  });

  it.each([0, 1, 2])('leaves out leg %i when its low side is too short, in this period or the last', (leg) => {
    const duties = LOW.map((d, k) => (k === leg ? 0.97 : d));
    const wrong = phases(70, 2).map((i, k) => (k === leg ? 0 : i));
    for (const [now, before] of [
      [duties, LOW],
      [LOW, duties],
    ]) {
      const [alpha, beta] = vector(wrong, now, before);
      expectNear(alpha, 70 * Math.cos(2), SMALL);
      expectNear(beta, 70 * Math.sin(2), SMALL);
    }
    expect(vector(wrong)).not.toEqual(vector(wrong, duties));
  });

  it('leaves out the highest of two that are short', () => {
    const wrong = phases(70, 2).map((i, k) => (k === 1 ? 0 : i));
    const [alpha, beta] = vector(wrong, [0.93, 0.97, 0]);
    expectNear(alpha, 70 * Math.cos(2), SMALL);
    expectNear(beta, 70 * Math.sin(2), SMALL);
  });

  it('takes two shunts as they are, however short their low sides', () => {
    const [alpha, beta] = vector(phases(70, 2), [0.97, 0.2, 0.1], LOW, 2);
    expectNear(alpha, 70 * Math.cos(2), SMALL);
    expectNear(beta, 70 * Math.sin(2), SMALL);
  });
});

describe('errors of the channels', () => {
  it.each([
    ['three shunts', -1, 0.67],
    ['two', 2, 1.15],
  ])('of 1 A on one leg shift it by the computed length, with %s', (_, blind, length) => {
    expectNear(Math.hypot(...vector([1, 0, 0], LOW, LOW, blind)), length, {
      abs: 0.005,
      because: 'two printed decimals',
    });
  });

  it('of all three legs shift it by the computed length', () => {
    const [a, b, c] = [1.2, -0.7, 0.4];
    const three = (2 / 3) * Math.sqrt(a * a + b * b + c * c - a * b - b * c - c * a);
    const two = (2 / Math.sqrt(3)) * Math.sqrt(a * a + a * b + b * b);
    expectNear(Math.hypot(...vector([a, b, c])), three, SMALL);
    expectNear(Math.hypot(...vector([a, b, c], LOW, LOW, 2)), two, SMALL);
  });

  it.each([
    ['three shunts', -1, 0.82, 0.82],
    ['two', 2, 1, 1.29],
  ])('that are noise come out as the computed shares, with %s', (_, blind, onAlpha, onBeta) => {
    const draw = gauss(2);
    const sum = [0, 0];
    const n = 20_000;
    for (let k = 0; k < n; k++) {
      vector([draw(), draw(), draw()], LOW, LOW, blind).forEach((v, axis) => {
        sum[axis] += (v * v) / n;
      });
    }
    const why = 'chance of 20 000 values: 0.5 %, four deviations; two printed decimals';
    expectNear(Math.sqrt(sum[0]), onAlpha, { abs: 0.025, because: why });
    expectNear(Math.sqrt(sum[1]), onBeta, { abs: 0.03, because: why });
  });
});
