/** Time, scales, lanes and lists of the waves: what zooming, scrolling, picking and searching make of them. */
import { describe, expect, it } from 'vitest';
import { exactScale, roundScale, roundStep, timeAxis } from '../../components/wave-bench/axis.ts';
import { channelsOf, found, usualSet } from '../../components/wave-bench/channels.ts';
import { Desk } from '../../components/wave-bench/desk.ts';
import { sound } from '../../components/wave-bench/kept.ts';
import { placeLanes, planLanes } from '../../components/wave-bench/lanes.ts';
import { duration, figure, hertz, moment } from '../../components/wave-bench/numbers.ts';
import { fit, scaleFor } from '../../components/wave-bench/scale.ts';
import { between, follow, LEAST_S, scroll, spanOf, type View, whole, zoom } from '../../components/wave-bench/span.ts';
import { SIGNALS } from '../../src/signals.ts';
import type { BenchInfo } from '../../worker/api.ts';
import { expectNear } from '../support/near.ts';

const ROUNDING = 'differences of float64 seconds: a few parts in 1e16 of 36 000';
const HELD = { from_s: 0, to_s: 100 };
const WATCH = [{ name: 'motor speed', unit: 'rad/s', signal: 'motorSpeed' }];
const [live, still]: View[] = [
  { live: true, from_s: 99, to_s: 100 },
  { live: false, from_s: 40, to_s: 50 },
];

describe('the stretch in sight', () => {
  it('keeps the moment under the pointer where it is when it is zoomed', () => {
    const view = zoom(still, HELD, 0.1, 42);
    expectNear(spanOf(view), 1, { abs: 1e-12, because: ROUNDING });
    expectNear((42 - view.from_s) / spanOf(view), 0.2, { abs: 1e-12, because: ROUNDING });
  });

  it('keeps now at its right edge while it is live', () => {
    expect(zoom(live, HELD, 0.5, 99.1)).toEqual({ live: true, from_s: 99.5, to_s: 100 });
    expect(follow(live, HELD, 103)).toEqual({ live: true, from_s: 102, to_s: 103 });
    expect(follow(still, HELD, 103)).toBe(still);
  });

  it('widens with the run when it shows all of it', () => {
    expect(follow(whole(HELD, true), HELD, 110)).toMatchObject({ from_s: 0, to_s: 110 });
  });

  it('is at most the whole run and at least ten steps of the plant', () => {
    expectNear(spanOf(zoom(still, HELD, 1e9, 42)), 100, { abs: 1e-9, because: ROUNDING });
    expectNear(spanOf(zoom(still, HELD, 1e-9, 42)), LEAST_S, { abs: 1e-12, because: ROUNDING });
  });

  it('does not leave what is held, and stands still once it is scrolled', () => {
    expect(scroll(live, HELD, 5)).toEqual({ live: false, from_s: 99, to_s: 100 });
    expect(scroll(still, HELD, -1000)).toEqual({ live: false, from_s: 0, to_s: 10 });
  });

  it('between two marks holds both', () => {
    const view = between(61, 60, HELD);
    expect(view.from_s).toBeLessThan(60);
    expect(view.to_s).toBeGreaterThan(61);
  });

  it('is as steady ten hours into a run as at its start', () => {
    const far = { from_s: 36_000, to_s: 36_600 };
    let view: View = { live: false, from_s: 36_100, to_s: 36_100.000_1 };
    for (let k = 0; k < 40; k++) view = scroll(scroll(view, far, 1e-6), far, -1e-6);
    expectNear(view.from_s, 36_100, {
      abs: 1e-9,
      because: 'forty times the last bit of a float64 near 36 000: 7e-12 each',
    });
  });
});

describe('scales', () => {
  it.each([
    [0.7, 1],
    [1, 1],
    [1.2, 2],
    [3, 5],
    [6, 10],
    [0.0011, 0.002],
  ])('round a step of %s up to %s', (least, step) =>
    expectNear(roundStep(least), step, { abs: step * 1e-12, because: 'one division' }),
  );

  it('hold what they are for between marks of whole steps', () => {
    expect(roundScale(-12.4, 13.1, 3)).toEqual({ low: -20, high: 20, marks: [-20, -10, 0, 10, 20] });
    expect(exactScale(-1, 3, 4).marks).toEqual([-1, 0, 1, 2, 3]);
  });

  it('take zero in when it is near, and keep noise of a thing at rest flat', () => {
    expect(scaleFor({ low: 8, high: 20 }, 'V', 100).low).toBe(0);
    expect(scaleFor({ low: 19, high: 20 }, 'V', 100).low).toBeGreaterThan(10);
    const rest = scaleFor({ low: -0.01, high: 0.01 }, 'A', 100);
    expect(rest.high - rest.low).toBeGreaterThanOrEqual(2);
  });

  it('widen at once, narrow after a while, and not for a moment of calm', () => {
    const wide = fit(undefined, { low: 0, high: 90 }, 'A', 100, 0, false);
    expect(wide.scale.high).toBe(100);
    const calm = fit(wide, { low: 0, high: 10 }, 'A', 100, 100, false);
    expect(calm.scale.high).toBe(100);
    const busy = fit(calm, { low: 0, high: 80 }, 'A', 100, 900, false);
    expect(fit(busy, { low: 0, high: 10 }, 'A', 100, 1700, false).scale.high).toBe(100);
    const again = fit(busy, { low: 0, high: 10 }, 'A', 100, 1700, false);
    expect(fit(again, { low: 0, high: 10 }, 'A', 100, 3300, false).scale.high).toBeLessThan(20);
    expect(fit(wide, { low: 0, high: 300 }, 'A', 100, 100, false).scale.high).toBeGreaterThanOrEqual(300);
    expect(fit(wide, { low: 0, high: 10 }, 'A', 100, 100, true).scale.high).toBeLessThan(20);
  });
});

describe('times at the edge', () => {
  it('are seconds while they are coarse', () => {
    expect(timeAxis(2.01, 3.01, 5).ticks.map(({ text }) => text)).toEqual([
      '2.2\u202fs',
      '2.4\u202fs',
      '2.6\u202fs',
      '2.8\u202fs',
      '3.0\u202fs',
    ]);
  });

  it('are counted from a round time while they are fine, ten hours into a run as well', () => {
    const { base, ticks } = timeAxis(36_000.000_012, 36_000.000_052, 4);
    expect(base).toBe('36000.000\u202fs');
    expect(ticks.map(({ text }) => text)).toEqual(['+20\u202fµs', '+30\u202fµs', '+40\u202fµs', '+50\u202fµs']);
  });
});

describe('numbers', () => {
  it('have as many digits as they carry, a real minus, and units that suit', () => {
    expect(figure(-12.3456)).toBe('\u221212.35');
    expect(figure(0)).toBe('0');
    expect(figure(-8.9e-16)).toBe('0');
    expect(figure(Number.NaN)).toBe('\u2013');
    expect(duration(3.25e-3)).toBe('3.250\u202fms');
    expect(hertz(12_345)).toBe('12.35\u202fkHz');
    expect(moment(2.6203504)).toBe('2.620\u202f350\u202fs');
  });
});

describe('channels', () => {
  const channels = channelsOf(WATCH);

  it('are every signal of the registry and every watch value, each with a name of its own', () => {
    expect(channels).toHaveLength(SIGNALS.length + 1);
    expect(new Set(channels.map(({ name }) => name)).size).toBe(channels.length);
    expect(channels.filter(({ doc, name }) => doc === '' || name === '')).toEqual([]);
  });

  it('are found by name, unit, id or meaning', () => {
    expect(found(channels, 'phase current').map(({ channel }) => channel)).toEqual(
      expect.arrayContaining(['currentA', 'currentB', 'currentC']),
    );
    expect(found(channels, 'KN clamp').map(({ channel }) => channel)).toEqual(['clampForce']);
    expect(found(channels, 'no such thing')).toEqual([]);
  });

  it('put an estimate into the unit and the lane of what it estimates', () => {
    const picked = channels.filter(({ channel }) => channel === 'motorSpeed' || channel === 'watch 0');
    const [lane, ...others] = planLanes(picked, new Set());
    expect(others).toEqual([]);
    expect(lane.traces.map(({ origin, unit }) => [origin, unit])).toEqual([
      ['truth', 'rpm'],
      ['estimated', 'rpm'],
    ]);
  });

  it('give every lane traces of one unit, codes a lane each, and A and the estimate never the colors that some eyes confuse', () => {
    const all = channelsOf([...WATCH, { name: 'current', unit: 'A', signal: 'currentA' }]).slice(0);
    for (const { unit, traces } of planLanes(all, new Set())) {
      expect(new Set(traces.map((trace) => trace.unit))).toEqual(new Set([unit]));
      if (unit === '') expect(traces).toHaveLength(1);
      const colors = traces.map(({ color }) => color);
      expect(colors.includes('a') && colors.includes('e')).toBe(false);
    }
  });

  it('come with a usual set of which every one exists', () => {
    const ids = channels.map(({ channel }) => channel);
    for (const channel of usualSet(WATCH)) expect(ids).toContain(channel);
  });
});

describe('lanes', () => {
  it('fill the paper without a gap or an overlap', () => {
    const plans = planLanes(channelsOf(WATCH).slice(0, 12), new Set());
    const boxes = placeLanes(plans, 30, 900, 14);
    let top = 30;
    for (const box of boxes) {
      expectNear(box.top, top, { abs: 1e-9, because: 'sums of a dozen float64' });
      expect(box.plotBottom).toBeGreaterThan(box.plotTop);
      top += box.height;
    }
    expectNear(top, 900, { abs: 1e-9, because: 'sums of a dozen float64' });
  });
});

describe('the desk', () => {
  const info = { watch: WATCH, pwm_Hz: 20_000 } as unknown as BenchInfo;
  const desk = () => {
    const made = new Desk(() => {});
    made.take(info);
    made.held = { from_s: 0, to_s: 10 };
    made.show({ live: false, from_s: 4, to_s: 5 });
    return made;
  };

  it('puts marks on samples: 1, then 2, then 1 again', () => {
    const made = desk();
    made.markNext(4.100_013);
    made.markNext(4.2);
    expectNear(made.cursors[0] ?? 0, 4.1, { abs: 1e-9, because: 'a multiple of 50 us in float64' });
    made.markNext(4.3);
    expectNear(made.cursors[0] ?? 0, 4.3, { abs: 1e-9, because: 'a multiple of 50 us in float64' });
    expect(made.cursors[1]).toBeUndefined();
  });

  it('moves a mark by one sample at least, and by single microseconds where steps are in sight', () => {
    const made = desk();
    made.setMark(0, 4.5);
    made.nudge(0, 1, 1e-6);
    expectNear(made.cursors[0] ?? 0, 4.500_05, { abs: 1e-9, because: 'a multiple of 50 us in float64' });
    made.show({ live: false, from_s: 4.5, to_s: 4.500_5 });
    made.nudge(0, 1, 1e-6);
    expectNear(made.cursors[0] ?? 0, 4.500_051, { abs: 1e-9, because: 'a multiple of 1 us in float64' });
  });

  it('knows its keys, and leaves others alone', () => {
    const made = desk();
    expect(made.key('+', 4.5)).toBe(true);
    expect(spanOf(made.view)).toBeLessThan(1);
    expect(made.key('m', 4.5)).toBe(true);
    expect(made.cursors[0]).toBeDefined();
    expect(made.key('End', 4.5)).toBe(true);
    expect(made.view.live).toBe(true);
    expect(made.key('t', 4.5)).toBe(false);
  });

  it('drops watch values that another controller does not have, and never more than can be told apart', () => {
    const made = desk();
    made.pick(['link', 'watch 0']);
    made.take({ watch: [], pwm_Hz: 20_000 } as unknown as BenchInfo);
    expect(made.picked).toEqual(['link']);
    made.pick(SIGNALS.map(({ id }) => id));
    expect(made.picked).toHaveLength(24);
  });
});

describe('what was kept', () => {
  it('is taken only where it makes sense', () => {
    const kept = { picked: ['link', 7], apart: [], span_s: 0.5, scales: { A: [-5, 5], V: [3, 1] } };
    expect(sound(kept)).toEqual({ picked: ['link'], apart: [], span_s: 0.5, scales: { A: [-5, 5] } });
    for (const bad of [null, 3, {}, { picked: 'link', span_s: 1 }, { picked: [], span_s: -1 }])
      expect(sound(bad)).toBeUndefined();
  });
});
