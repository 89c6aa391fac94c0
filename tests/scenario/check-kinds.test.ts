/**
 * Every kind of check on signals whose answer is known in closed form. Tolerances are the spacing of the samples, half of it
 * on each side of a moment, unless they say otherwise.
 */
import { describe, expect, it } from 'vitest';
import { expectNear } from '../support/near.ts';
import { found, TICK_S } from './check-rig.ts';

const MOMENT = { abs: TICK_S, because: 'a moment is known to the tick in which it lies' };
const ROUNDING = { abs: 1e-9, because: 'sums of some thousand numbers of size one' };
const number = (value: number | null): number => value ?? Number.NaN;

describe('every value', () => {
  it('tells the value with the least room, its side and its moment', () => {
    // 20 + 3 sin(2 pi 10 t) V: 23 V at 25 ms, 17 V at 75 ms; the lower limit is nearer.
    const link = (t: number) => 20 + 3 * Math.sin(2 * Math.PI * 10 * t);
    const result = found({ signal: 'link', take: 'every', atLeast: 16.5, atMost: 25 }, { run: { link }, lasts_s: 0.1 });
    expect(result).toMatchObject({ verdict: 'pass', bound: 'at least', unit: 'V' });
    expectNear(number(result.margin), 0.5, {
      abs: 1e-5,
      because: 'a sine within half a tick of its peak: 3 (2 pi 10 h)^2 / 8',
    });
    expectNear(number(result.at_s), 0.075, MOMENT);
    const broken = found({ signal: 'link', take: 'every', atMost: 22 }, { run: { link }, lasts_s: 0.1 });
    expect(broken.verdict).toBe('fail');
    expectNear(number(broken.margin), -1, { abs: 1e-5, because: 'as above' });
  });
});

describe('time to reach and settling time', () => {
  // First-order rise to 100 with 20 ms: 90 is passed after 20 ms ln 10.
  const rise = (t: number) => 100 * (1 - Math.exp(-t / 0.02));

  it('finds when an exponential passes a level: tau ln(1 / (1 - share))', () => {
    const made = { run: { motorSpeed: rise }, lasts_s: 0.1 } as const;
    const result = found({ signal: 'motorSpeed', take: 'time to reach', above: 90, atMost: 0.06 }, made);
    expect(result).toMatchObject({ verdict: 'pass', unit: 's' });
    expectNear(number(result.value), 0.02 * Math.log(10), MOMENT);
    expectNear(number(result.margin), 0.06 - 0.02 * Math.log(10), MOMENT);
  });

  it('counts from the start of its window', () => {
    const made = { run: { motorSpeed: rise }, lasts_s: 0.1 } as const;
    const result = found({ signal: 'motorSpeed', take: 'time to reach', above: 90, from_s: 0.02, atMost: 0.05 }, made);
    expectNear(number(result.value), 0.02 * Math.log(10) - 0.02, MOMENT);
  });

  it('fails when it is not reached in time, and judges nothing when the window is too short to tell', () => {
    const made = { run: { motorSpeed: () => 5 }, lasts_s: 0.1 } as const;
    const late = found({ signal: 'motorSpeed', take: 'time to reach', above: 90, atMost: 0.05 }, made);
    expect(late).toMatchObject({ verdict: 'fail', note: 'not reached until the end of the window' });
    const short = found({ signal: 'motorSpeed', take: 'time to reach', above: 90, atMost: 0.2 }, made);
    expect(short).toMatchObject({ verdict: 'not evaluated', margin: null });
    expect(short.why).toContain('shorter than the limit');
  });

  it('finds when a decaying oscillation is last outside its band', () => {
    // exp(-t / 0.01) cos(2 pi 100 t): magnitudes at its extremes, each 5 ms, are exp(-0.5 k); the last above 0.1 is k = 4,
    // and from there it leaves the band before the next zero.
    const ring = (t: number) => Math.exp(-t / 0.01) * Math.cos(2 * Math.PI * 100 * t);
    const band = { above: -0.1, below: 0.1 } as const;
    const result = found(
      { signal: 'motorSpeed', take: 'settling time', ...band, atMost: 0.05 },
      { run: { motorSpeed: ring }, lasts_s: 0.1 },
    );
    // Solved for exp(-t / 0.01) cos(2 pi 100 t) = 0.1 after t = 20 ms by bisection.
    let [low, high] = [0.02, 0.0225];
    for (let k = 0; k < 60; k++) {
      const mid = (low + high) / 2;
      if (ring(mid) > 0.1) low = mid;
      else high = mid;
    }
    expectNear(number(result.value), low, MOMENT);
    expect(result.verdict).toBe('pass');
  });

  it('does not call settled what is outside at the end', () => {
    const made = { run: { motorSpeed: (t: number) => (t > 0.09 ? 50 : 100) }, lasts_s: 0.1 } as const;
    const result = found({ signal: 'motorSpeed', take: 'settling time', above: 90, below: 110, atMost: 0.02 }, made);
    expect(result).toMatchObject({ verdict: 'fail', note: 'outside at the end of the window' });
  });
});

describe('longest spell', () => {
  // A rectangle of 100 Hz that is high for 30 % of the time; its edges lie in the middle between two samples.
  const pulse = (t: number) => (((t + TICK_S / 2) * 100) % 1 < 0.3 ? 60 : 10);

  it('finds how long a rectangle stays above a value, and when', () => {
    const made = { run: { currentQ: pulse }, lasts_s: 0.1 } as const;
    const result = found({ signal: 'currentQ', take: 'longest spell', above: 50, atMost: 0.005 }, made);
    expectNear(number(result.value), 0.003, { abs: TICK_S, because: 'edges between two samples, one at each end' });
    expect(result.verdict).toBe('pass');
    expect(found({ signal: 'currentQ', take: 'longest spell', above: 50, atMost: 0.002 }, made).verdict).toBe('fail');
  });

  it('is nothing where the condition never holds', () => {
    const made = { run: { currentQ: pulse }, lasts_s: 0.1 } as const;
    expect(found({ signal: 'currentQ', take: 'longest spell', above: 70, atMost: 0 }, made)).toMatchObject({
      verdict: 'pass',
      value: 0,
      at_s: null,
    });
  });
});

describe('counts', () => {
  it('finds two crossings a period, and one entry', () => {
    // 50 Hz for 0.2 s, starting above zero: 10 periods, 19 crossings within the window and one at its very end.
    const wave = (t: number) => Math.sin(2 * Math.PI * 50 * t + 0.5);
    const made = { run: { currentA: wave }, lasts_s: 0.2 } as const;
    expect(found({ signal: 'currentA', take: 'crossings', through: 0, atMost: 99 }, made).value).toBe(20);
    expect(found({ signal: 'currentA', take: 'entries', above: 0, atMost: 99 }, made).value).toBe(10);
  });

  it('does not count a ripple that stays within the play', () => {
    const ripple = (t: number) => Math.sin(2 * Math.PI * 50 * t + 0.5) + 0.2 * Math.sin(2 * Math.PI * 4000 * t);
    const made = { run: { currentA: ripple }, lasts_s: 0.2 } as const;
    expect(found({ signal: 'currentA', take: 'crossings', through: 0, atMost: 99 }, made).value).toBeGreaterThan(20);
    expect(found({ signal: 'currentA', take: 'crossings', through: 0, play: 0.5, atMost: 99 }, made).value).toBe(20);
  });

  it('finds the edges of a code, and entries into a state', () => {
    // A Hall code that moves on every 5 ms: 39 edges in 0.2 s after its first reading.
    const hall = (t: number) => [1, 3, 2, 6, 4, 5][Math.floor(t / 0.005 - 1e-6) % 6];
    expect(found({ signal: 'hall', take: 'changes', atMost: 99 }, { run: { hall }, lasts_s: 0.2 }).value).toBe(39);
    const controllerState = (t: number) => (t > 0.05 && t < 0.1 ? 6 : t > 0.150025 ? 6 : 2);
    const entered = { signal: 'controllerState', take: 'entries', code: 6, atMost: 1 } as const;
    const result = found(entered, { run: { controllerState }, lasts_s: 0.2 });
    expect(result).toMatchObject({ verdict: 'fail', value: 2, margin: -1, unit: '' });
    expectNear(number(result.at_s), 0.150025, MOMENT);
  });
});

describe('integral', () => {
  it('is exact for a straight line, and that of a square for a sine over whole periods', () => {
    const made = { run: { packCurrent: (t: number) => 40 * t }, lasts_s: 0.5 } as const;
    const line = found({ signal: 'packCurrent', take: 'integral', from_s: 0.1, atMost: 99 }, made);
    // 20 (0.5^2 - 0.1^2)
    expectNear(number(line.value), 4.8, ROUNDING);
    expect(line.unit).toBe('A·s');
    const sine = { run: { currentA: (t: number) => 10 * Math.sin(2 * Math.PI * 100 * t) }, lasts_s: 0.1 } as const;
    const heat = found({ signal: 'currentA', take: 'integral', part: 'square', atMost: 99 }, sine);
    expectNear(number(heat.value), 5, {
      abs: 1e-3,
      because: 'the first tick, 10^2 (2 pi 100 h)^2 h, and the periods at its ends',
    });
    expect(heat.unit).toBe('A²·s');
    const size = found({ signal: 'currentA', take: 'integral', part: 'magnitude', atMost: 99 }, sine);
    // 2 / pi of the peak, over 0.1 s; trapezoids are off by h^2 / 12 of the slope at each kink, twenty of them.
    expectNear(number(size.value), 2 / Math.PI, { abs: 1e-4, because: 'kinks: 20 * 2 * 6283 h^2 / 12 = 5e-5' });
  });

  it('is counted from absolute zero for temperatures', () => {
    const made = { run: { windingHeat: () => 300 }, lasts_s: 0.1 } as const;
    const result = found({ signal: 'windingHeat', take: 'integral', atMost: 99 }, made);
    expectNear(number(result.value), 30, ROUNDING);
    expect(result.unit).toBe('K·s');
  });
});

describe('end state and reaction time', () => {
  /** In the middle between two samples. */
  const TRIP_S = 0.062125;
  const trips = (t: number) => (t > TRIP_S ? 6 : 2);

  it('tells for how long the state has been there, or since when it has not', () => {
    const spec = { signal: 'controllerState', take: 'end state', code: 6, atLeast: 0 } as const;
    const there = found(spec, { run: { controllerState: trips }, lasts_s: 0.1 });
    expect(there.verdict).toBe('pass');
    expectNear(number(there.value), 0.1 - TRIP_S, MOMENT);
    const gone = found({ ...spec, code: 2 }, { run: { controllerState: trips }, lasts_s: 0.1 });
    expect(gone).toMatchObject({ verdict: 'fail', note: "it ended in 'tripped'" });
    expectNear(number(gone.value), -(0.1 - TRIP_S), MOMENT);
  });

  it('counts from the beginning of the fault to the first tick in the state', () => {
    const spec = {
      signal: 'controllerState',
      take: 'reaction time',
      code: 6,
      afterFault: 0,
      to_s: Number.POSITIVE_INFINITY,
      runEnd_s: 0.1,
      atMost: 0.01,
    } as const;
    const result = found(spec, { run: { controllerState: trips }, lasts_s: 0.1, fault_s: 0.06 });
    expect(result.verdict).toBe('pass');
    expectNear(number(result.value), TRIP_S - 0.06, MOMENT);
  });

  it('is not evaluated when the fault never began, or when it was so already', () => {
    const spec = {
      signal: 'controllerState',
      take: 'reaction time',
      code: 6,
      afterFault: 0,
      to_s: Number.POSITIVE_INFINITY,
      runEnd_s: 0.1,
      atMost: 0.01,
    } as const;
    const never = found(spec, { run: { controllerState: trips }, lasts_s: 0.1 });
    expect(never).toMatchObject({ verdict: 'not evaluated', why: 'fault 1 never began' });
    const before = found(spec, { run: { controllerState: trips }, lasts_s: 0.1, fault_s: 0.08 });
    expect(before).toMatchObject({ verdict: 'not evaluated', why: 'it was so already when the fault began' });
  });
});

describe('comparison with the twin', () => {
  it('takes the difference of two numbers, in kelvin for temperatures', () => {
    const made = {
      run: { windingHeat: (t: number) => 300 + 100 * t },
      twin: { windingHeat: (t: number) => 300 + 40 * t },
      lasts_s: 0.1,
    };
    const result = found({ signal: 'windingHeat', take: 'last', against: 'twin', atMost: 5 }, made);
    expect(result).toMatchObject({ verdict: 'fail', unit: 'K', take: 'last less that of the twin' });
    expectNear(number(result.value), 6, ROUNDING);
    expectNear(number(result.margin), -1, ROUNDING);
  });

  it('finds the largest deviation and its moment', () => {
    const made = {
      run: { currentA: (t: number) => 10 * Math.sin(20 * Math.PI * t) },
      twin: { currentA: (t: number) => 10 * Math.sin(20 * Math.PI * t) - 4 * t },
      lasts_s: 0.1,
    };
    const result = found({ signal: 'currentA', take: 'deviation', atMost: 1 }, made);
    expectNear(number(result.value), 0.4, ROUNDING);
    expectNear(number(result.at_s), 0.1, MOMENT);
  });

  it('is not evaluated without a twin, or with one that was lost', () => {
    const made = { run: { currentA: () => 1 }, lasts_s: 0.1 } as const;
    const alone = found({ signal: 'currentA', take: 'deviation', atMost: 1 }, made);
    expect(alone).toMatchObject({ verdict: 'not evaluated', why: 'it was played without its twin' });
    const spoiled = found(
      { signal: 'currentA', take: 'mean', against: 'twin', atMost: 1 },
      { ...made, twin: { currentA: () => 1 }, twinLost: 'the twin is not valid: x' },
    );
    expect(spoiled).toMatchObject({ verdict: 'not evaluated', why: 'the twin is not valid: x' });
  });
});

describe('margins of temperatures', () => {
  it('are differences: 5 K of room are 5, whatever the zero of the scale', () => {
    const result = found(
      { signal: 'windingHeat', take: 'largest', atMost: 373.15 },
      { run: { windingHeat: () => 368.15 }, lasts_s: 0.01 },
    );
    expectNear(number(result.value), 95, ROUNDING);
    expectNear(number(result.margin), 5, ROUNDING);
  });
});
