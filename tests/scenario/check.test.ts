import { describe, expect, it } from 'vitest';
import { Check, judge } from '../../src/scenario/check.ts';
import type { CheckSpec } from '../../src/scenario/scenario.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';

const TICK_S = 50e-6;
const UNIT_ROUNDING = { abs: 1e-12, because: 'one division by a rounded unit factor, values up to 100' };

/** A check of the signal over values given one per tick; value k is seen at the end of tick k, as in a run. */
function follow(spec: Partial<CheckSpec> & { signal: SignalId }, values: readonly number[]): Check {
  const whole = { name: 'slat', take: 'last', from_s: 0, to_s: values.length * TICK_S } as const;
  const check = new Check({ ...whole, ...spec }, TICK_S);
  const sample = new Float64Array(SIGNALS.length);
  values.forEach((value, k) => {
    sample[SIGNAL_INDEX.time] = (k + 1) * TICK_S;
    sample[SIGNAL_INDEX[spec.signal]] = value;
    check.see(sample);
  });
  return check;
}

describe('check', () => {
  const VALUES_M = [0.01, -0.05, 0.03, 0.02];

  it.each([
    ['largest', 30, 3],
    ['smallest', -50, 2],
    ['peak', 50, 2],
    ['mean', 2.5, 4],
    ['last', 20, 4],
  ] as const)('takes the %s value, in the unit that people read, and says when', (take, value, tick) => {
    const result = follow({ signal: 'screwDepth', take, atMost: 0.1 }, VALUES_M).result('');
    expectNear(result.value ?? Number.NaN, value, UNIT_ROUNDING);
    expect(result.at_s).toBe(tick * TICK_S);
    expect(result.unit).toBe('mm');
  });

  it('gives the room that is left as the margin, negative when the limit is broken', () => {
    const inside = follow({ signal: 'screwDepth', take: 'largest', atMost: 0.04 }, VALUES_M).result('');
    expect(inside.verdict).toBe('pass');
    expectNear(inside.margin ?? Number.NaN, 10, UNIT_ROUNDING);
    const outside = follow({ signal: 'screwDepth', take: 'largest', atLeast: 0.04 }, VALUES_M).result('');
    expect(outside).toMatchObject({ verdict: 'fail', bound: 'at least' });
    expectNear(outside.margin ?? Number.NaN, -10, UNIT_ROUNDING);
    expectNear(outside.limit ?? Number.NaN, 40, UNIT_ROUNDING);
  });

  it('passes exactly at its limit', () => {
    expect(follow({ signal: 'screwDepth', atMost: 0.02 }, VALUES_M).result('')).toMatchObject({
      verdict: 'pass',
      margin: 0,
    });
  });

  it('reports the limit with the least room of two', () => {
    expect(judge(6, 5, 10)).toEqual({ limit: 5, bound: 'at least', margin: 1 });
    expect(judge(9, 5, 10)).toEqual({ limit: 10, bound: 'at most', margin: 1 });
    expect(judge(12, 5, 10)).toEqual({ limit: 10, bound: 'at most', margin: -2 });
    expect(judge(-1, undefined, 0)).toEqual({ limit: 0, bound: 'at most', margin: 1 });
  });

  it('looks at its window only, both ends included', () => {
    const window = { from_s: 2 * TICK_S, to_s: 3 * TICK_S } as const;
    const result = follow({ signal: 'screwDepth', take: 'mean', ...window, atMost: 1 }, VALUES_M).result('');
    expectNear(result.value ?? Number.NaN, -10, UNIT_ROUNDING);
    expect(result.verdict).toBe('pass');
  });

  it('is not evaluated when the run ends before its window does', () => {
    const result = follow({ signal: 'screwDepth', to_s: 1, atMost: 1 }, VALUES_M).result('');
    expect(result).toMatchObject({ verdict: 'not evaluated', margin: null, why: 'the run ended before the window' });
  });

  it('is not evaluated when the controller is lost, and still tells what was seen and what the limit was', () => {
    const result = follow({ signal: 'screwDepth', atMost: 0.001 }, VALUES_M).result('controller lost');
    expect(result).toMatchObject({ verdict: 'not evaluated', margin: null, bound: 'at most', why: 'controller lost' });
    expectNear(result.value ?? Number.NaN, 20, UNIT_ROUNDING);
    expectNear(result.limit ?? Number.NaN, 1, UNIT_ROUNDING);
  });

  it('passes over readings that do not exist, and is not evaluated without any', () => {
    const some = follow({ signal: 'sensedC', take: 'mean', atMost: 9 }, [Number.NaN, 2, Number.NaN, 4]).result('');
    expect(some).toMatchObject({ verdict: 'pass', value: 3 });
    const none = follow({ signal: 'sensedC', atMost: 9 }, [Number.NaN, Number.NaN]).result('');
    expect(none).toMatchObject({ verdict: 'not evaluated', value: null, why: 'the signal had no reading' });
  });

  it('shows units of rotation and shares as people read them', () => {
    const speed = follow({ signal: 'motorSpeed', atLeast: 0 }, [100 * Math.PI]).result('');
    expectNear(speed.value ?? Number.NaN, 3000, { abs: 1e-9, because: 'a few roundings of a value of 3000' });
    expect(speed.unit).toBe('rpm');
    expect(follow({ signal: 'charge', atLeast: 0 }, [0.5]).result('')).toMatchObject({ value: 50, unit: '%' });
  });
});
