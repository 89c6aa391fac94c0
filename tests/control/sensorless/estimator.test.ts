/**
 * The parts of the estimator together: book-keeping of voltages, start on a coasting rotor, hand-over both ways.
 *
 * Source  a current answers the command of two ticks before: timing of the board (Bae, Sul, IEEE Trans. Ind. Appl. 39(3), 2003,
 *         bibliography read). Largest errors at the hand-over: found by trial on a simplified model.
 */
import { describe, expect, it } from 'vitest';
import { CurrentLoop } from '../../../src/control/sensorless/current-loop.ts';
import { Estimator } from '../../../src/control/sensorless/estimator.ts';
import { MotorMap } from '../../../src/control/sensorless/motor-map.ts';
import { expectNear } from '../../support/near.ts';
import { seeded } from '../../support/seeded.ts';
import { EngineMotor } from './engine-motor.ts';
import { ExactWinding } from './exact-winding.ts';
import { FluxRig, turn, wrapped } from './flux-rig.ts';
import { gauss } from './gauss.ts';
import { DEGREE, FAST_RAD_S, FULL_RAD_S, NOISE_A, PLAIN, SATURATED, SETTINGS, TICK_S } from './motor-d.ts';

const LINK_V = 18;

describe('voltages', () => {
  it('meet the period in which they act: the flux follows any of them at 15 samples a turn', () => {
    const draw = seeded(11);
    const winding = new ExactWinding(PLAIN, FAST_RAD_S, 0.4, TICK_S);
    // No pull and no tracking: what is left is the sum of the volt-seconds.
    const set = { ...SETTINGS, injectBelow_rad_s: 0, sigma0_rad_s: 0, zeta: 0, bandHigh_rad_s: 0 };
    const estimator = new Estimator(TICK_S, new MotorMap(PLAIN), set, 1e9);
    estimator.preset(winding.theta, FAST_RAD_S);
    const emf = FAST_RAD_S * PLAIN.lambda_Wb;
    let [now, next]: [number, number][] = [
      [0, 0],
      [0, 0],
    ];
    for (let n = 0; n < 80; n++) {
      // Two periods with open legs first: the rotor turns on, without current.
      if (n < 2) winding.theta += FAST_RAD_S * TICK_S;
      else winding.run(...now);
      now = next;
      estimator.step(winding.alpha_A, winding.beta_A, LINK_V);
      const [alpha, beta] = turn([winding.psiD, winding.psiQ], winding.theta);
      const why =
        'the drop at the mean of both ends: 10 mohm, 10 A of ripple within a period, over 4 ms, random in sign';
      expectNear(estimator.flux.alpha, alpha, { abs: 2e-5, because: why });
      expectNear(estimator.flux.beta, beta, { abs: 2e-5, because: why });
      next = turn([3 * (draw() - 0.5), emf + 3 * (draw() - 0.5)], winding.theta + 1.5 * FAST_RAD_S * TICK_S);
      estimator.sent(next[0] / LINK_V, next[1] / LINK_V);
    }
  });
});

describe('start on a coasting rotor', () => {
  it.each([0.12, 0.2, 0.5, 1, -1])('at %f of full speed, known angle and speed, stays at the angle', (share) => {
    const rig = new FluxRig(PLAIN, { w: share * FULL_RAD_S });
    for (let n = 0; n < 200; n++) {
      const lag = rig.tick() / DEGREE;
      expectNear(lag, 0, { abs: 0.3, because: 'found by trial: 0.1 degrees without errors, and its transient' });
    }
  });
});

describe('hand-over', () => {
  interface Ride {
    /** Largest error of the angle from 10 ms on, and mean of the last 5 ms [deg]. */ worst_deg: number;
    last_deg: number;
    /** Speeds at which the weight began to fall, and to rise again [rad/s]. */ leaves: number;
    comes: number;
    /** Ticks in which it moved. */ moving: number;
  }

  /** A saturated motor at 80 A whose rotor a strong hand takes through a profile of speeds [rad/s]. */
  function ride(profile: (t_s: number) => number, span_s: number, noise_A: number): Ride {
    const motor = new EngineMotor(SATURATED, 1.1);
    const estimator = new Estimator(TICK_S, new MotorMap(SATURATED), SETTINGS, 1e9);
    const loop = new CurrentLoop(TICK_S, SATURATED);
    estimator.preset(motor.theta, 0);
    loop.preset(0, 0);
    const draw = gauss(5);
    const out: Ride = { worst_deg: 0, last_deg: 0, leaves: 0, comes: 0, moving: 0 };
    for (let n = 0; n * TICK_S < span_s; n++) {
      const e = estimator;
      const t = n * TICK_S;
      motor.w = profile(t);
      const before = e.weight;
      e.step(motor.alpha_A + noise_A * draw(), motor.beta_A + noise_A * draw(), LINK_V);
      if (before === 1 && e.weight < 1) out.leaves = motor.w;
      if (before === 0 && e.weight > 0) out.comes = motor.w;
      if (e.weight > 0 && e.weight < 1) out.moving++;
      const off = wrapped(motor.theta - e.tracker.theta) / DEGREE;
      if (t > 10e-3) out.worst_deg = Math.max(out.worst_deg, Math.abs(off));
      if (t > span_s - 5e-3) out.last_deg += off / 100;
      const wish = Math.min(80, Math.max(0, (t - 10e-3) * 8000));
      const { w } = e.tracker;
      loop.step(-e.idMean, wish - e.iqMean, w, e.weight > 0 ? SETTINGS.gainInjecting : SETTINGS.gain);
      loop.limit(LINK_V / Math.sqrt(3));
      const ahead = e.tracker.theta + 1.5 * TICK_S * w;
      const add = e.injecting ? SETTINGS.inject_V * e.injection.sign : 0;
      const [alpha, beta] = turn([loop.ud + add, loop.uq], ahead);
      e.injection.sent(ahead, add);
      e.sent(alpha / LINK_V, beta / LINK_V);
      motor.command(alpha, beta);
      motor.runPeriod();
    }
    return out;
  }

  const top = 0.27 * FULL_RAD_S;
  /** Up in 20 ms, held, stopped within a millisecond, held. */
  const stopped = (t: number) => {
    if (t < 30e-3) return 0;
    if (t < 50e-3) return ((t - 30e-3) / 20e-3) * top;
    return t < 80e-3 ? top : Math.max(0, 1 - (t - 80e-3) / 4e-3) * top;
  };

  it('up and through a sudden stop at 80 A keeps the angle within the lag of the tracker', () => {
    const { worst_deg, last_deg, moving } = ride(stopped, 0.11, NOISE_A);
    // 0.27 a / b^2 at 150 Hz: 10.9 degrees.
    const lag_deg = (2 * Math.exp(-2) * (top / 4e-3)) / SETTINGS.bandHigh_rad_s ** 2 / DEGREE;
    expect(worst_deg).toBeLessThan(lag_deg);
    expectNear(moving, 160, { abs: 2, because: '4 ms of 50 us each way; the last step is a rounding' });
    expectNear(last_deg, 0, { abs: 0.6, because: 'noise of 1.7 degrees, mean of 5 ms: a factor of 4' });
  });

  it('has no step: a slow ride without noise hands over unseen, and not at one speed both ways', () => {
    const slow = (t: number) => 4e4 * Math.min(Math.max(0, t - 0.025), Math.max(0, 0.085 - t));
    const { worst_deg, leaves, comes, moving } = ride(slow, 0.1, 0);
    // 0.27 a / b^2 at 120 Hz where the acceleration begins, 1.1 degrees, and 0.4 of the cross term.
    const lag_deg = (2 * Math.exp(-2) * 4e4) / SETTINGS.bandLow_rad_s ** 2 / DEGREE;
    expect(worst_deg).toBeLessThan(lag_deg + 0.4);
    const why = 'a millisecond of 40 000 rad/s^2, by which tracked speed and ripple may be off';
    expectNear(leaves, SETTINGS.fluxAbove_rad_s, { abs: 40, because: why });
    expectNear(comes, SETTINGS.injectBelow_rad_s, { abs: 40, because: why });
    expectNear(moving, 160, { abs: 2, because: '4 ms of 50 us each way; the last step is a rounding' });
  });
});
