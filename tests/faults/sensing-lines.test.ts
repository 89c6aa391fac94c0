/**
 * Faults of the current channels by the lines that they make, in the readings and, through a closed current loop, in the true
 * currents and the torque.
 *
 * Source  an offset makes the first order of the electrical frequency, a scaling error the second: IEEE Trans. Ind. Electron.
 *         70(5), 4608 (abstract read) and the review mdpi.com/1996-1073/18/6/1367. Amplitudes from the transforms: an offset D of
 *         one of three channels is a vector of 2/3 D that stands in the stator, so it turns once a turn in the rotor frame; a
 *         gain error e of one channel adds 2/3 e i(t) along its axis, a half of which turns with the rotor and a half against
 *         it: 1/3 e I each, the latter twice a turn. T = 1.5 p flux iq. Mirrored vector: B and C exchanged conjugate it.
 *         Clipped sine: its Fourier series, evaluated by quadrature.
 */
import { describe, expect, it } from 'vitest';
import { slot } from '../../src/plant/slots.ts';
import { PER_COUNT, PLAIN } from '../sensing/rig.ts';
import { POLE_PAIRS } from '../spice/rig.ts';
import { expectNear } from '../support/near.ts';
import { type Fault, FLUX_WB, lines, loudest, mean, put } from './rig.ts';
import { looped, passed } from './sensing-rig.ts';

const IQ_A = 30;
const SINK = slot('sinkHeat');
const PER_AMPERE = 1.5 * POLE_PAIRS * FLUX_WB;
const closed = (...faults: readonly Fault[]) => looped(true, IQ_A, (plant) => put(plant, ...faults));
const open = (...faults: readonly Fault[]) => looped(false, IQ_A, (plant) => put(plant, ...faults));

describe('a whole board', () => {
  it('holds the current without a line', () => {
    const { q, torque } = closed();
    const counts = { abs: 2 * PER_COUNT, because: 'rounding of three channels to counts' };
    expectNear(mean(q), IQ_A, counts);
    for (let n = 1; n < 20; n++) expectNear(lines(q)[n], 0, counts);
    expectNear(mean(torque), PER_AMPERE * IQ_A, {
      abs: 2e-3 * PER_AMPERE * IQ_A,
      because: 'torque is of the last step',
    });
  });
});

describe('shunt offset', () => {
  it.each([
    ['a', 2],
    ['b', 4],
    ['c', -3],
  ] as const)('of channel %s by %f A: a first order of two thirds of it', (leg, size) => {
    const { d, q, torque, readQ } = closed({ fault: 'shunt-offset', leg, size });
    const expected = (2 / 3) * Math.abs(size) * passed(1);
    const because =
      'the delay of 1.5 periods, left out, turns by 0.04 rad against what the loop leaves, 4 %; torque is of a step';
    expectNear(lines(q)[1], expected, { abs: 5e-3 * expected, because });
    expectNear(lines(d)[1], expected, { abs: 5e-3 * expected, because });
    expectNear(lines(torque)[1], PER_AMPERE * expected, { abs: 8e-3 * PER_AMPERE * expected, because });
    expect(loudest(q)).toBe(1);
    expect(loudest(torque)).toBe(1);
    // The board believes that its current is steady.
    expect(lines(readQ)[1]).toBeLessThan(0.3 * expected);
  });

  it('is read as it is, to a count, where no loop closes', () => {
    const { readQ, q } = open({ fault: 'shunt-offset', leg: 'a', size: 3 });
    const because = 'rounding of the channels; the whole motor has no line';
    expectNear(lines(readQ)[1], 2, { abs: 2 * PER_COUNT, because });
    expectNear(lines(q)[1], 0, { abs: 2 * PER_COUNT, because });
  });

  it('grows the line as the sink warms up, when it drifts', () => {
    const warm = (sink_K: number): number => {
      const fault: Fault = { fault: 'shunt-drift', leg: 'a', size: 6 };
      return lines(
        looped(false, IQ_A, (plant) => {
          put(plant, fault);
          plant.state.set([sink_K], SINK);
        }).readQ,
      )[1];
    };
    const because = 'rounding of the channels; the sink of lossless switches keeps its temperature to some millikelvin';
    for (const above of [0, 30, 60])
      expectNear(warm(298.15 + above), (2 / 3) * 6 * (above / 60), { abs: 3 * PER_COUNT, because });
  });
});

describe('shunt gain', () => {
  it.each([
    ['a', 0.05],
    ['b', 0.1],
    ['c', -0.05],
  ] as const)('of channel %s off by %f: a second order of a third of it', (leg, size) => {
    const { d, q, torque, readQ } = closed({ fault: 'shunt-gain', leg, size });
    // The loop holds the mean of the reading, so the true current is short by the half that turns with the rotor.
    const peak = IQ_A / (1 + size / 3);
    const expected = (Math.abs(size) / 3) * peak * passed(2);
    const because =
      'the delay of 1.5 periods, left out, turns by 0.07 rad against the 7 % that the loop leaves; the error meets its own line once more';
    const share = 0.01 + Math.abs(size) / 3;
    expectNear(lines(q)[2], expected, { abs: share * expected, because });
    expectNear(lines(d)[2], expected, { abs: share * expected, because });
    expectNear(lines(torque)[2], PER_AMPERE * expected, { abs: share * PER_AMPERE * expected, because });
    expectNear(mean(q), peak, { abs: 0.3 * expected, because: 'second order in the error, and rounding' });
    expect(loudest(q)).toBe(2);
    expect(loudest(torque)).toBe(2);
    expect(lines(readQ)[2]).toBeLessThan(0.5 * expected);
  });

  it('is read as it is, to a count, where no loop closes', () => {
    const { readQ, q } = open({ fault: 'shunt-gain', leg: 'b', size: 0.1 });
    const because = 'rounding of the channels; the whole motor has no line';
    expectNear(lines(readQ)[2], (0.1 / 3) * mean(q), { abs: 2 * PER_COUNT, because });
  });
});

describe('sense lines swapped', () => {
  it.each(['shunts-ab-swapped', 'shunts-bc-swapped', 'shunts-ac-swapped'])(
    '%s: the sensed current turns against the rotor, as large as before',
    (fault) => {
      const { d, q, readD, readQ } = open({ fault });
      const because = 'rounding of the channels';
      const size = Math.hypot(mean(d), mean(q));
      expectNear(lines(readQ)[2], size, { abs: 3 * PER_COUNT, because });
      expectNear(lines(readD)[2], size, { abs: 3 * PER_COUNT, because });
      expectNear(Math.hypot(mean(readD), mean(readQ)), 0, { abs: 3 * PER_COUNT, because });
      expectNear(lines(q)[2], 0, { abs: 3 * PER_COUNT, because });
    },
  );
});

describe('amplifiers that clip', () => {
  it('flatten the crests: odd harmonics of a clipped sine, and a sum that is not zero', () => {
    // Full scale of the board is 165 A.
    const most_A = 25;
    const lost = 1 - most_A / (2 ** 14 * PER_COUNT);
    const { read, d, q } = open({ fault: 'shunt-clip', size: lost });
    const peak = Math.hypot(mean(d), mean(q));
    expect(peak).toBeGreaterThan(1.1 * most_A);
    const harmonic = (n: number): number => {
      const points = 4096;
      let sum = 0;
      for (let k = 0; k < points; k++) {
        const angle = (2 * Math.PI * (k + 0.5)) / points;
        sum += Math.max(-most_A, Math.min(most_A, peak * Math.sin(angle))) * Math.sin(n * angle);
      }
      return Math.abs((2 * sum) / points);
    };
    const because = 'rounding to counts, and 256 samples a turn where the crest is cut';
    for (const channel of read) {
      expectNear(Math.max(...channel), most_A, { abs: 1.5 * PER_COUNT, because });
      for (const n of [1, 3, 5]) expectNear(lines(channel)[n], harmonic(n), { abs: 0.02, because });
      expect(lines(channel)[3]).toBeGreaterThan(lines(channel)[5]);
    }
    const sum = read[0].map((a, k) => a + read[1][k] + read[2][k]);
    expectNear(lines(sum)[3], 3 * harmonic(3), { abs: 0.06, because });
  });
});

describe('a channel that stands still', () => {
  it('frozen: it does not move, and the three add up to what it lacks', () => {
    const { read, d, q } = open({ fault: 'shunt-frozen', leg: 'b' });
    expect(new Set(read[1]).size).toBe(1);
    const sum = read[0].map((a, k) => a + read[1][k] + read[2][k]);
    const because = 'rounding of three channels';
    expectNear(lines(sum)[1], Math.hypot(mean(d), mean(q)), { abs: 3 * PER_COUNT, because });
  });

  it.each([
    ['shunt-low', -(2 ** 14)],
    ['shunt-high', 2 ** 14 - 1],
  ])('%s: the end of the range', (fault, counts) => {
    const { read } = open({ fault, leg: 'c' });
    const because = 'counts times the scale, rounding of floats';
    for (const amps of read[2]) expectNear(amps, counts * PER_COUNT, { abs: 1e-9, because });
    expect(new Set(read[0]).size).toBeGreaterThan(50);
  });
});

describe('noise of the channels', () => {
  it('is an even floor: its power is spread over all lines', () => {
    const size = 2;
    const { read } = open({ fault: 'shunt-noise', size });
    const floor = lines(read[0]).slice(2);
    const power = (from: number, to: number): number =>
      floor.slice(from, to).reduce((sum, line) => sum + line * line, 0) / (to - from);
    // A line of N samples of white noise has a mean square of 4 s^2 / N.
    const expected = (4 * size * size) / 256;
    const bound = (n: number) => ({
      abs: (5 * expected) / Math.sqrt(n),
      because: `five deviations of the mean of ${n} lines`,
    });
    expectNear(power(0, 62), expected, bound(62));
    expectNear(power(62, 124), expected, bound(62));
  });
});

describe('reference of the converter', () => {
  it('too high by e: all currents too small by 1 / (1 + e)', () => {
    const { readQ, readD, q, d } = open({ fault: 'reference-error', size: 0.1 });
    const because = 'rounding of the channels';
    expectNear(mean(readQ), mean(q) / 1.1, { abs: 2 * PER_COUNT, because });
    expectNear(mean(readD), mean(d) / 1.1, { abs: 2 * PER_COUNT, because });
    expect(PLAIN.referenceError).toBe(0);
  });
});
