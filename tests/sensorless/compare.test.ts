/**
 * Against Hall six-step, in a short form: what the shape of the currents decides. Blocks of 120 degrees make a torque that follows
 * cos over 60 degrees, 13 % from peak to valley, and dips while the current changes legs; sinusoidal currents make neither
 * (textbook, from memory). The six-step needs no start procedure.
 */
import { describe, expect, it } from 'vitest';
import { valueIn } from './expect-holds.ts';
import { compareRows } from './experiments/compare.ts';

const HAND = '1070 rad/s, hand of 4 N·m';
const SLOW = '64 rad/s, hand of 3 N·m';

describe('sensorless against Hall six-step', () => {
  const rows = compareRows({}, 0.1, 2, [HAND, SLOW, 'start']);
  const pair = (name: string) =>
    ['sensorless', 'hall-six-step'].map((kind) => valueIn(rows, `${name}, ${kind}`)) as [number, number];

  it('ripples less and takes less from the cells for the same work', () => {
    const [ours, theirs] = pair(`${HAND}: torque ripple, deviation over mean`);
    expect(ours).toBeLessThan(theirs);
    const [good, less] = pair(`${HAND}: efficiency, cells to hand`);
    expect(good).toBeGreaterThan(less);
    expect(good).toBeLessThan(100);
  });

  it('crawls where six-step sticks', () => {
    const [ours, theirs] = pair(`${SLOW}: share of the time in which the chuck stood`);
    expect(ours).toBeLessThan(theirs);
  });

  it('needs longer to start, and says who won', () => {
    const [ours, theirs] = pair('press to torque, longest');
    expect(theirs).toBeLessThan(ours);
    expect(rows.find(({ name }) => name.includes('press to torque'))?.note).toContain('won by hall-six-step');
  });
});
