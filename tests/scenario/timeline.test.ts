import { describe, expect, it } from 'vitest';
import type { Handling, TimelineEntry } from '../../src/scenario/scenario.ts';
import { Timeline } from '../../src/scenario/timeline.ts';
import { expectNear } from '../support/near.ts';

const TICK_S = 50e-6;
const ROUNDING = { abs: 1e-12, because: 'a handful of roundings of values below 1' };

function entry(at_s: number, rest: Partial<TimelineEntry>): TimelineEntry {
  return { at_s, over_s: 0, ...rest };
}

/** What the hands did, by tick. */
function acted(entries: TimelineEntry[], ticks: number): (Handling & { tick: number })[] {
  const timeline = new Timeline(entries, TICK_S);
  const log: (Handling & { tick: number })[] = [];
  for (let tick = 0; tick < ticks; tick++) {
    timeline.act(tick, {
      handle: (change) => {
        const given = Object.entries(change).filter(([, value]) => value !== undefined);
        if (given.length > 0) log.push({ tick, ...Object.fromEntries(given) });
      },
    });
  }
  return log;
}

describe('timeline', () => {
  it('acts at the first tick that does not begin before the moment', () => {
    const log = acted(
      [entry(0, { gear: 2 }), entry(3 * TICK_S, { gear: 1 }), entry(3.1 * TICK_S, { direction: -1 })],
      6,
    );
    expect(log).toEqual([
      { tick: 0, gear: 2 },
      { tick: 3, gear: 1 },
      { tick: 4, direction: -1 },
    ]);
  });

  it('takes a moment that is a whole number of ticks at that tick, however it rounds', () => {
    for (let tick = 0; tick < 2000; tick++) {
      const [first] = acted([entry(Number((tick * 0.00005).toPrecision(9)), { gear: 1 })], tick + 2);
      expect(first.tick).toBe(tick);
    }
  });

  it('presses the trigger at once when no time is given', () => {
    expect(acted([entry(2 * TICK_S, { trigger: 0.6 })], 5)).toEqual([{ tick: 2, trigger: 0.6 }]);
  });

  it('moves the trigger in a straight line over its time and ends exactly on its travel', () => {
    const log = acted([entry(TICK_S, { trigger: 0.8, over_s: 4 * TICK_S })], 9);
    expect(log.map(({ tick }) => tick)).toEqual([1, 2, 3, 4, 5]);
    log.forEach(({ trigger }, k) => {
      expectNear(trigger ?? Number.NaN, 0.2 * k, ROUNDING);
    });
    expect(log.at(-1)?.trigger).toBe(0.8);
  });

  it('starts a new ramp where the last one was interrupted', () => {
    const log = acted(
      [entry(0, { trigger: 1, over_s: 10 * TICK_S }), entry(5 * TICK_S, { trigger: 0, over_s: 5 * TICK_S })],
      20,
    );
    const at = (tick: number) => log.filter((each) => each.tick === tick).at(-1)?.trigger ?? Number.NaN;
    expectNear(at(4), 0.4, ROUNDING);
    expectNear(at(5), 0.4, ROUNDING);
    expectNear(at(10), 0, ROUNDING);
  });

  it('acts out entries of the same moment in their order', () => {
    expect(acted([entry(0, { gear: 1 }), entry(0, { gear: 2 })], 1)).toEqual([
      { tick: 0, gear: 1 },
      { tick: 0, gear: 2 },
    ]);
  });
});
