/** Faults come, grow, flicker and go as they were ordered, and leave the drill whole. */
import { describe, expect, it } from 'vitest';
import { Injector } from '../../src/faults/injector.ts';
import { type FaultOrder, faultOrder } from '../../src/faults/order.ts';
import { BROKEN } from '../../src/plant/damage.ts';
import { Plant } from '../../src/plant/plant.ts';
import { SIGNAL_INDEX, SIGNALS } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';
import { drillWith } from '../support/rigs.ts';

const TICK_S = 50e-6;
const weak = (change: Partial<FaultOrder>): FaultOrder => ({
  fault: 'magnet-weak',
  size: 0.2,
  begin: { kind: 'at', at_s: 0.01 },
  shape: { kind: 'step' },
  ...change,
});

/** The damage after each tick of a span, with a signal that the test draws. */
function run(orders: readonly FaultOrder[], ticks: number, speed: (k: number) => number = () => 0) {
  const plant = new Plant(drillWith({}), { seed: 1, h_s: 1e-6 });
  const injector = new Injector(orders, 5);
  const sample = new Float64Array(SIGNALS.length);
  const lost: number[] = [];
  for (let k = 0; k < ticks; k++) {
    injector.act(k * TICK_S, TICK_S, sample, plant.damage);
    lost.push(plant.damage.get('fluxLost'));
    sample[SIGNAL_INDEX.motorSpeed] = speed(k);
  }
  return { plant, injector, lost };
}

describe('injector', () => {
  it('begins a step in the tick of its moment and ends it after its time', () => {
    const { lost, injector } = run([weak({ for_s: 0.005 })], 400);
    expect(lost.findIndex((v) => v > 0)).toBe(200);
    expect(lost.lastIndexOf(0.2)).toBe(299);
    expect(injector.events).toEqual([
      { at_s: 200 * TICK_S, order: 0, fault: 'magnet-weak', what: 'begins' },
      { at_s: 300 * TICK_S, order: 0, fault: 'magnet-weak', what: 'ends' },
    ]);
  });

  it('lets a ramp grow evenly to its size', () => {
    const { lost } = run([weak({ shape: { kind: 'ramp', over_s: 0.01 } })], 500);
    expectNear(lost[300], 0.1, { abs: 1e-12, because: 'half the way of an even growth' });
    expect(lost[400]).toBe(0.2);
    expect(lost[499]).toBe(0.2);
  });

  it('flickers with the stays that were asked for, alike for a seed', () => {
    const shape = { kind: 'intermittent', on_s: 0.002, off_s: 0.006 } as const;
    const { lost } = run([weak({ begin: { kind: 'at', at_s: 0 }, shape })], 40_000);
    const share = lost.filter((v) => v > 0).length / lost.length;
    // 250 rounds of 8 ms, each stay even in +-50 % of its mean: deviation of the sum of 250 draws.
    const deviation = (0.25 * 0.75 * Math.sqrt(2 / 12)) / Math.sqrt(250);
    expectNear(share, 0.25, { abs: 5 * deviation, because: 'five deviations of 250 drawn rounds' });
    expect(run([weak({ begin: { kind: 'at', at_s: 0 }, shape })], 40_000).lost).toEqual(lost);
  });

  it('begins on a condition that has held long enough, judged by the sample before', () => {
    const begin = {
      kind: 'when',
      signal: 'motorSpeed',
      side: 'above',
      value: 100,
      from_s: 0.002,
      held_s: 0.001,
    } as const;
    const spikes = (k: number) => (k === 60 || k >= 100 ? 120 : 90);
    const { injector } = run([weak({ begin })], 200, spikes);
    expectNear(injector.began_s(0), 121 * TICK_S, { abs: 1e-12, because: 'seen first in tick 101, held for 20 ticks' });
  });

  it('joins faults of one leg by their bits and heals each alone', () => {
    const open = (fault: string, for_s?: number): FaultOrder => ({
      fault,
      leg: 'b',
      begin: { kind: 'at', at_s: 0 },
      shape: { kind: 'step' },
      for_s,
    });
    const both = run([open('high-switch-open'), open('phase-open', 0.001)], 10).plant.damage;
    expect(both.get('legB')).toBe(BROKEN.highOpen | BROKEN.wireOpen);
    const one = run([open('high-switch-open'), open('phase-open', 0.001)], 30).plant.damage;
    expect(one.get('legB')).toBe(BROKEN.highOpen);
    expect(one.get('legA')).toBe(0);
  });

  it('adds sizes and stops at the end of the range', () => {
    const { lost } = run([weak({ size: 0.6 }), weak({ size: 0.5 })], 300);
    expect(lost[299]).toBe(0.9);
  });
});

describe('order', () => {
  it.each([
    [{ fault: 'no-such' }, "fault 'no-such' is not known"],
    [{ size: 2 }, 'fault magnet-weak: size is 2'],
    [{ leg: 'a' }, 'fault magnet-weak has no leg'],
    [{ fault: 'phase-open', size: undefined }, 'fault phase-open: leg is missing; allowed are a, b, c'],
    [{ fault: 'phase-open', leg: 'a' }, 'fault phase-open has no size'],
  ] as const)('refuses %o', (change, words) => {
    expect(() => faultOrder(weak(change as Partial<FaultOrder>))).toThrow(words);
  });
});
