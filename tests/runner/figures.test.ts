/**
 * Source  each figure against what its definition gives for samples with a closed form: ramps, sines over whole periods,
 *         variance of a straight line.
 */
import { describe, expect, it } from 'vitest';
import { STATE_READY, STATE_RUNNING } from '../../src/protocol/frames.ts';
import { AngleError, type AngleWatch, angleWatch } from '../../src/runner/figures/angle.ts';
import { Electric } from '../../src/runner/figures/electric.ts';
import { energyFigures } from '../../src/runner/figures/energy.ts';
import type { Figure } from '../../src/runner/figures/figure.ts';
import { HeatRise } from '../../src/runner/figures/heat.ts';
import { Presses } from '../../src/runner/figures/presses.ts';
import { TorqueRipple } from '../../src/runner/figures/ripple.ts';
import { Starts } from '../../src/runner/figures/start.ts';
import { Trips } from '../../src/runner/figures/trips.ts';
import { SIGNAL_INDEX, SIGNALS, type SignalId } from '../../src/signals.ts';
import { expectNear } from '../support/near.ts';

const TICK_S = 50e-6;
const PACK = { contactCloses: 0.04, contactOpens: 0.02, bounce_s: 0.002 };
const TURN = 2 * Math.PI;
const DEG = TURN / 360;

type Values = Partial<Record<SignalId, number>>;
interface Seer {
  see(sample: Float64Array): void;
}

/** Feeds ticks from t = 0 for a span; the values are those at the end of each tick. */
function feed(span_s: number, at: (t_s: number) => Values, ...seers: Seer[]): void {
  const ticks = Math.round(span_s / TICK_S);
  for (let k = 1; k <= ticks; k++) {
    const t = k * TICK_S;
    const sample = new Float64Array(SIGNALS.length);
    for (const [id, value] of Object.entries({ time: t, ...at(t) })) sample[SIGNAL_INDEX[id as SignalId]] = value;
    for (const seer of seers) seer.see(sample);
  }
}

const figureIn = (figures: readonly Figure[], id: string): number => {
  const found = figures.find((figure) => figure.id === id);
  expect(found?.why, id).toBe('');
  return found?.value ?? Number.NaN;
};
const whyOf = (figures: readonly Figure[], id: string): string => {
  const found = figures.find((figure) => figure.id === id);
  expect(found?.value, id).toBeNull();
  return found?.why ?? '';
};
const A_TICK = { abs: TICK_S * 1.000001, because: 'a crossing is seen at the end of the tick in which it happens' };

describe('presses', () => {
  it('begin where the contact closes and end where it opens', () => {
    const presses = new Presses(PACK);
    const trigger = (t: number) => (t < 0.01 ? 0.03 : t < 0.02 ? 0.05 : t < 0.03 ? 0.03 : t < 0.04 ? 0 : 1);
    feed(0.05, (t) => ({ trigger: trigger(t - TICK_S / 2) }), presses);
    expect(presses.list).toHaveLength(2);
    const because = 'all moments are whole ticks; what is left is their rounding';
    expectNear(presses.list[0].from_s, 0.01, { abs: 1e-12, because });
    expectNear(presses.list[0].to_s ?? 0, 0.03, { abs: 1e-12, because });
    expectNear(presses.list[1].from_s, 0.04, { abs: 1e-12, because });
    expect(presses.list[1].to_s).toBeUndefined();
  });
});

describe('driven legs', () => {
  it.each([
    ['that come up after the contact has closed', 0.009, 0.009],
    ['that were never let go: the contact needs 2 ms for its bounces and 1 ms to ring out', 0, 0.003],
  ])('count for a press from the first one on, %s', (_, from_s, counted_s) => {
    const presses = new Presses(PACK);
    let first_s = Number.NaN;
    const note = {
      see(sample: Float64Array) {
        if (presses.driven && Number.isNaN(first_s)) first_s = sample[SIGNAL_INDEX.time];
      },
    };
    feed(0.05, (t) => ({ trigger: t > 0.01 + TICK_S / 2 ? 1 : 0, gates: t > 0.01 + from_s ? 3 : 0 }), presses, note);
    expectNear(first_s, 0.01 + counted_s, A_TICK);
  });
});

/** Ticks of a press at 10 ms, in which the chuck moves and the motor pulls as said, with time since the press. */
function startsOf(press: (t_s: number) => Values, span_s = 0.2): Starts {
  const presses = new Presses(PACK);
  const starts = new Starts(presses);
  feed(span_s, (t) => (t - 0.01 > TICK_S / 2 ? { trigger: 0.5, ...press(t - 0.01) } : {}), presses, starts);
  return starts;
}

describe('start', () => {
  // Torque ramps from 5 ms to 15 ms up to 2 N·m and stays: 20 % of the later mean at 7 ms. Chuck: 50 rad/s² from 20 ms on.
  const torque = (t: number) => 2 * Math.min(1, Math.max(0, (t - 0.005) / 0.01));
  const chuck = (t: number) => 50 * Math.max(0, t - 0.02);

  it.each([1, -1])('finds torque and motion of a ramp, turning direction %d', (side) => {
    const starts = startsOf((t) => ({ airGapTorque: side * torque(t), chuckSpeed: side * chuck(t) }));
    expectNear(figureIn(starts.figures(), 'startChuck'), 0.02 + 1 / 50, A_TICK);
    expectNear(figureIn(starts.figures(), 'startTorque'), 0.007, A_TICK);
  });

  it('does not take a push the wrong way for torque', () => {
    const kick = (t: number) => (t < 0.004 ? -1.5 : torque(t));
    const starts = startsOf((t) => ({ airGapTorque: kick(t), chuckSpeed: chuck(t) }));
    expectNear(figureIn(starts.figures(), 'startTorque'), 0.007, A_TICK);
  });

  it('has no figure where a press did not turn the chuck, and says so', () => {
    const starts = startsOf((t) => ({ airGapTorque: torque(t), chuckSpeed: 0.9 }));
    expect(whyOf(starts.figures(), 'startChuck')).toBe('1 of 1 presses did not turn the chuck');
    expect(whyOf(starts.figures(), 'startTorque')).toBe('1 of 1 presses did not turn the chuck');
    expect(whyOf(new Starts(new Presses(PACK)).figures(), 'startChuck')).toBe('the trigger was never pressed');
  });

  it('takes the longest of several presses and leaves out those on a turning chuck', () => {
    const presses = new Presses(PACK);
    const starts = new Starts(presses);
    const lap = 0.1;
    const speed = (t: number, n: number) => [t < 0.05 ? chuck(t) : 80, t < 0.05 ? 80 : 0, 2 * chuck(t)][n];
    feed(
      3 * lap,
      (now) => {
        const n = Math.min(2, Math.floor(now / lap - 1e-6));
        const t = now - n * lap;
        return { trigger: t < 0.05 ? 1 : 0, chuckSpeed: speed(t, n), airGapTorque: 1 };
      },
      presses,
      starts,
    );
    expect(starts.list().map(({ turning }) => turning)).toEqual([false, true, false]);
    expectNear(starts.list()[2].chuck_s ?? 0, 0.02 + 1 / 100, A_TICK);
    expectNear(figureIn(starts.figures(), 'startChuck'), 0.02 + 1 / 50, A_TICK);
  });
});

describe('angle error', () => {
  const running = { controllerState: STATE_RUNNING };
  /** Feeds a rotor at a constant speed, and an estimate that is off by `off` from the rotor at the start of the tick. */
  function errorOf(speed_rad_s: number, off: (t: number) => number, extra: (t: number) => Values = () => running) {
    const error = new AngleError('');
    const wrap = (a: number) => a - TURN * Math.floor(a / TURN);
    const estimate = new Float64Array(1);
    const seer = { see: (sample: Float64Array) => error.see(sample, estimate) };
    feed(
      1,
      (t) => {
        estimate[0] = wrap(speed_rad_s * (t - TICK_S) + off(t));
        return { rotorAngle: wrap(speed_rad_s * t), ...extra(t) };
      },
      seer,
    );
    return error.figures();
  }

  it('is the offset and the swing of the estimate, across the wrap, at any speed', () => {
    for (const speed of [0, 30, -900 * TURN]) {
      const figures = errorOf(speed, (t) => 10 * DEG + 5 * DEG * Math.sin(TURN * 50 * t));
      const rms = Math.sqrt(10 ** 2 + 5 ** 2 / 2) * DEG;
      // The first tick has no truth before it: of 20 000 ticks one is missing, and it is off by 10 degrees of 10.6.
      expectNear(figureIn(figures, 'angleErrorRms'), rms, {
        abs: rms / 20_000,
        because: 'one tick of 20 000 is missing',
      });
      expectNear(figureIn(figures, 'angleErrorWorst'), 15 * DEG, { abs: 1e-9, because: 'rounding of wrapped angles' });
    }
  });

  it('is half a turn at most', () => {
    const figures = errorOf(500, () => 359 * DEG);
    expectNear(figureIn(figures, 'angleErrorWorst'), DEG, { abs: 1e-9, because: 'rounding of wrapped angles' });
  });

  it('counts only while the controller runs', () => {
    const state = (t: number) => ({ controllerState: t > 0.5 ? STATE_RUNNING : STATE_READY });
    const figures = errorOf(100, (t) => (t > 0.5 ? 3 : 90) * DEG, state);
    expectNear(figureIn(figures, 'angleErrorWorst'), 3 * DEG, { abs: 1e-9, because: 'rounding of wrapped angles' });
    const never = errorOf(
      100,
      () => 1,
      () => ({}),
    );
    expect(whyOf(never, 'angleErrorRms')).toBe('the controller never reported an angle while running');
  });

  it.each([
    ['rad', 1],
    ['deg', DEG],
    ['deg el', DEG],
  ])('reads a watch value in %s', (unit, factor) => {
    const watch = [
      { name: 'speed', unit: 'rad/s', signal: 'motorSpeed' },
      { name: 'angle', unit, signal: 'rotorAngle' },
    ];
    expect(angleWatch({ watch })).toEqual({ place: 1, factor, why: '' } satisfies AngleWatch);
  });

  it('says why there is no estimate', () => {
    expect(angleWatch({ watch: [{ name: 'angle', unit: 'rad' }] }).why).toBe("no watch value is tied to 'rotorAngle'");
    const odd = angleWatch({ watch: [{ name: 'angle', unit: 'turn', signal: 'rotorAngle' }] });
    expect(odd).toMatchObject({ place: -1, why: "'angle' has the unit 'turn'; allowed are rad, deg, deg el" });
    expect(whyOf(new AngleError(odd.why).figures(), 'angleErrorWorst')).toBe(odd.why);
  });
});

describe('torque ripple', () => {
  const running = { controllerState: STATE_RUNNING };
  function rippleOf(span_s: number, at: (t: number) => Values): Figure[] {
    const ripple = new TorqueRipple();
    feed(span_s, (t) => ({ ...running, ...at(t) }), ripple);
    return ripple.figures();
  }
  const fast = { motorSpeed: 1000, electricalSpeed: 4000 };
  const exact = { abs: 1e-9, because: 'sums over whole periods are exact but for rounding' };

  it('of a sine is its amplitude over root two, and twice the amplitude peak to peak', () => {
    // 12 whole periods in each window of 20 ms, 33 1/3 ticks a period: three periods meet every crest to 1 in 200.
    const figures = rippleOf(1, (t) => ({ ...fast, airGapTorque: 2 + 0.3 * Math.cos(TURN * 600 * t) }));
    expectNear(figureIn(figures, 'torqueRipple'), 0.3 / Math.SQRT2 / 2, exact);
    const crest = { abs: 0.6 * (1 - Math.cos(Math.PI / 100)), because: 'a crest lies within 1/200 period of a sample' };
    expectNear(figureIn(figures, 'torquePeakToPeak'), 0.6, crest);
    expectNear(figureIn(figures, 'steadyTime'), 1, { abs: 1e-6, because: 'fifty windows fill the second' });
  });

  it('does not see that a load grows, but for the straight line inside a window', () => {
    // Torque 1 + t: mean of 1 s is 1.5; the line of 20 ms has the variance of 400 equal steps, (400^2 - 1)/12 steps^2.
    const figures = rippleOf(1, (t) => ({ ...fast, airGapTorque: 1 + t - TICK_S / 2 }));
    expectNear(figureIn(figures, 'torqueRipple'), (TICK_S * Math.sqrt((400 ** 2 - 1) / 12)) / 1.5, exact);
  });

  it('holds a whole electrical turn at crawling speed', () => {
    // 12.5 Hz electrical: a window is a turn of 80 ms, in which a ripple of once a turn shows in full.
    const slow = { motorSpeed: 20, electricalSpeed: TURN * 12.5 };
    const figures = rippleOf(0.8, (t) => ({ ...slow, airGapTorque: 1 + 0.2 * Math.sin(TURN * 12.5 * t) }));
    // The turn is summed up tick by tick: rounding may end a window a tick late, by 1 of 1600 ticks.
    const because = 'a window may be a tick longer than the turn: 1 of 1600';
    expectNear(figureIn(figures, 'torqueRipple'), 0.2 / Math.SQRT2, { abs: (2 * 0.2) / 1600, because });
  });

  it('is the same in both directions together', () => {
    const side = (t: number) => (t < 0.5 + TICK_S / 2 ? 1 : -1);
    const figures = rippleOf(1, (t) => ({
      motorSpeed: 1000 * side(t),
      electricalSpeed: 4000 * side(t),
      airGapTorque: side(t) * (2 + 0.3 * Math.cos(TURN * 600 * t)),
    }));
    expectNear(figureIn(figures, 'torqueRipple'), 0.3 / Math.SQRT2 / 2, exact);
  });

  it('counts no window in which the speed runs away or the controller does not run', () => {
    // 3 % in 20 ms, all along.
    const growing = (t: number) => 1000 * 1.03 ** (t / 0.02);
    const away = rippleOf(0.3, (t) => ({ motorSpeed: growing(t), electricalSpeed: growing(t), airGapTorque: 1 }));
    expect(whyOf(away, 'torqueRipple')).toBe('the speed was never steady');
    const idle = rippleOf(0.3, () => ({ ...fast, airGapTorque: 1, controllerState: STATE_READY }));
    expect(whyOf(idle, 'torquePeakToPeak')).toBe('the speed was never steady');
    expect(figureIn(idle, 'steadyTime')).toBe(0);
    expect(
      whyOf(
        rippleOf(0.3, () => fast),
        'torqueRipple',
      ),
    ).toBe('there was no torque at steady speed');
  });
});

describe('currents and link', () => {
  /** Contact closes at 0 and floods the link, legs are driven from 10 ms on, released at 110 ms, braked until 150 ms. */
  const electricOf = (extra: (t: number) => Values = () => ({})): Figure[] => {
    const presses = new Presses(PACK);
    const electric = new Electric(presses);
    const at = (t: number): Values => {
      const driven = t > 0.01 && t < 0.15 + TICK_S / 2;
      const phase = (k: number) => 30 * Math.cos(TURN * (100 * t - k / 3));
      return {
        trigger: t < 0.11 + TICK_S / 2 ? 0.5 : 0,
        gates: driven ? 7 : 0,
        currentA: driven ? phase(0) : 0,
        currentB: driven ? phase(1) : 0,
        currentC: driven ? phase(2) : 0,
        packCurrent: driven ? 12 : 400,
        link: t < 0.01 ? 5 : t < 0.11 + TICK_S / 2 ? 18 : 27,
        ...extra(t),
      };
    };
    feed(0.2, at, presses, electric);
    return electric.figures();
  };

  it('are those of balanced sines, without what the closing contact does', () => {
    const figures = electricOf();
    expectNear(figureIn(figures, 'phaseCurrentRms'), 30 / Math.SQRT2, {
      abs: 1e-9,
      because: 'the squares add up to 3/2 I²',
    });
    const because = '200 samples a period: 6 crests a turn lie within 1/400 period of one';
    expectNear(figureIn(figures, 'phaseCurrentPeak'), 30, { abs: 30 * (1 - Math.cos(Math.PI / 200)), because });
    expect(figureIn(figures, 'linkLowest')).toBe(18);
    expect(figureIn(figures, 'linkHighest')).toBe(27);
  });

  it('count what charging back and one-tick spikes do', () => {
    const spike = (t: number) => (Math.abs(t - 0.05) < TICK_S / 2 ? { currentB: -95, packCurrent: -61, link: 9 } : {});
    const figures = electricOf((t) => ({ packCurrent: t < 0.01 || t > 0.15 ? 12 : 11, ...spike(t) }));
    expect(figureIn(figures, 'phaseCurrentPeak')).toBe(95);
    expect(figureIn(figures, 'packCurrentPeak')).toBe(61);
    expect(figureIn(figures, 'linkLowest')).toBe(9);
  });

  it('do not exist where no leg was driven', () => {
    expect(
      whyOf(
        electricOf(() => ({ gates: 0 })),
        'phaseCurrentPeak',
      ),
    ).toBe('no leg was driven');
    expect(
      whyOf(
        electricOf(() => ({ gates: 0 })),
        'linkLowest',
      ),
    ).toBe('no leg was driven');
  });
});

describe('heat and trips', () => {
  it('rise from the first tick to the highest, the hottest of the legs', () => {
    const heat = new HeatRise();
    const bell = (t: number) => Math.sin(Math.PI * t);
    feed(
      1,
      (t) => ({
        windingHeat: 300 + 40 * bell(t - TICK_S),
        legHeatA: 300,
        legHeatB: 295 + 25 * bell(t - TICK_S),
        legHeatC: 300 + 3 * bell(t - TICK_S),
        cellHeat: 310 - t,
      }),
      heat,
    );
    const crest = { abs: 1e-6, because: 'the crest falls on a sample; rounding of the time is left' };
    expectNear(figureIn(heat.figures(), 'windingRise'), 40, crest);
    expectNear(figureIn(heat.figures(), 'legRise'), 20, crest);
    expect(figureIn(heat.figures(), 'cellRise')).toBe(0);
  });

  it('counts a trip when its reason comes or changes, not while it stays or goes', () => {
    const trips = new Trips();
    const reason = (t: number) => (t < 0.01 ? 0 : t < 0.02 ? 3 : t < 0.03 ? 0 : t < 0.04 ? 3 : 1);
    feed(0.05, (t) => ({ tripReason: reason(t - TICK_S / 2) }), trips);
    expect(trips.list.map((trip) => trip.reason)).toEqual([3, 3, 1]);
    expect(figureIn(trips.figures(), 'trips')).toBe(3);
  });
});

describe('energy', () => {
  it('is what the accounts add up to', () => {
    const accounts_J = { copper: 20, load: 60, 'growth of what is stored': -5 };
    const figures = energyFigures({ accounts_J, energyResidual: 0.01, passed_J: 500 });
    expect(figureIn(figures, 'cellEnergy')).toBe(80);
    expect(figureIn(figures, 'efficiency')).toBe(0.75);
    const charged = energyFigures({ accounts_J: { load: -3 }, energyResidual: 0, passed_J: 3 });
    expect(whyOf(charged, 'efficiency')).toBe('the cells gave no energy');
  });
});
