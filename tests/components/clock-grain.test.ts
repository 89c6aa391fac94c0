/** The grain of a clock, found by looking at it. */
import { describe, expect, it } from 'vitest';
import { leastStep_ms } from '../../components/session/clock-grain.ts';
import { expectNear } from '../support/near.ts';

/** A clock that is rounded down to a grain; every look takes its time. */
function clockOf(grain_ms: number, look_ms: number): () => number {
  let real_ms = 5000;
  return () => {
    real_ms += look_ms;
    return Math.floor(real_ms / grain_ms) * grain_ms;
  };
}

describe('the grain of a clock', () => {
  it.each([0.005, 0.1, 1])('of %f ms is found though most looks see no step', (grain_ms) => {
    const because = 'a difference of two times of some seconds in double precision';
    expectNear(leastStep_ms(clockOf(grain_ms, 0.0003)), grain_ms, { abs: 1e-9, because });
  });

  it('is not known of a clock that stands', () => {
    expect(leastStep_ms(() => 7)).toBeNaN();
  });
});
